"use client";

import Link from "next/link";
import { usePathname } from "next/navigation";
import { NAV } from "@/app/_words/shared.ts";
import { may, type Operation } from "@/lib/core/permissions.ts";
import { AlertBadge } from "./alert-badge.tsx";
import { MENU_ID } from "./menu-id.ts";

/** Address, name, and what one must be allowed to do for the page to be of use. */
const PAGES: readonly (readonly [string, string, Operation])[] = [
  ["/books", NAV.books, "books.read"],
  ["/sites", NAV.sites, "sites.read"],
  ["/visits", NAV.visits, "visits.read"],
  ["/plan", NAV.plan, "plan.read"],
  ["/alerts", NAV.alerts, "alerts.read"],
  ["/exposure", NAV.exposure, "exposure.read"],
  ["/coverage", NAV.coverage, "coverage.read"],
  ["/calibration", NAV.calibration, "fleet.read"],
  ["/parameters", NAV.parameters, "parameters.read"],
  ["/imports", NAV.imports, "imports.read"],
  ["/system", NAV.system, "system.read"],
  ["/access", NAV.access, "people.manage"],
  ["/glossary", NAV.glossary, "self.manage"],
];

function pagesFor(role: string) {
  // The whole account's figures stand under Exposure, with a way to what the owners of its books see.
  const seesAll = may({ role }, "exposure.read");
  return PAGES.filter(([href, , operation]) => may({ role }, operation) && !(href === "/books" && seesAll));
}

/** On a phone the pages are behind this button, which names the one that is open. */
export function MenuButton({ role }: { role: string }) {
  const path = usePathname();
  const pages = pagesFor(role);
  const page = pages.find(([href]) => path.startsWith(href))?.[1] ?? NAV.noPage;
  return (
    <button type="button" className="menu-button no-print" popoverTarget={MENU_ID}>
      <svg viewBox="0 0 16 16" aria-hidden="true">
        <path d="M1 3h14M1 8h14M1 13h14" stroke="currentColor" strokeWidth="2" />
      </svg>
      <span>
        <span className="visually-hidden">{NAV.menu}</span>
        {page}
      </span>
      {pages.some(([href]) => href === "/alerts") ? <AlertBadge /> : null}
    </button>
  );
}

/** Going to a page closes the menu that it was chosen from. */
const closeMenu = () => {
  const menu = document.getElementById(MENU_ID);
  if (menu?.matches(":popover-open")) menu.hidePopover();
};

export function MainNav({ role }: { role: string }) {
  const path = usePathname();
  return (
    <nav aria-label={NAV.main}>
      {pagesFor(role).map(([href, name]) => (
        <Link key={href} href={href} aria-current={path.startsWith(href) ? "page" : undefined} onClick={closeMenu}>
          {name}
          {href === "/alerts" ? <AlertBadge /> : null}
        </Link>
      ))}
    </nav>
  );
}
