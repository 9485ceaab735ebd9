"use client";

import Link from "next/link";
import { usePathname } from "next/navigation";
import { NAV } from "@/app/_words/shared.ts";
import { may, type Operation } from "@/lib/core/permissions.ts";
import { AlertBadge } from "./alert-badge.tsx";

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

export function MainNav({ role }: { role: string }) {
  const path = usePathname();
  // The whole account's figures stand under Exposure, with a way to what the owners of its books see.
  const seesAll = may({ role }, "exposure.read");
  return (
    <nav aria-label={NAV.main}>
      {PAGES.filter(([href, , operation]) => may({ role }, operation) && !(href === "/books" && seesAll)).map(
        ([href, name]) => (
          <Link key={href} href={href} aria-current={path.startsWith(href) ? "page" : undefined}>
            {name}
            {href === "/alerts" ? <AlertBadge /> : null}
          </Link>
        ),
      )}
    </nav>
  );
}
