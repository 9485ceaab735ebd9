"use client";

import Link from "next/link";
import { usePathname } from "next/navigation";
import { may, type Operation } from "@/lib/core/permissions.ts";
import { AlertBadge } from "./alert-badge.tsx";

/** Address, name, and what one must be allowed to do for the page to be of use. */
const PAGES: readonly (readonly [string, string, Operation])[] = [
  ["/books", "Books", "books.read"],
  ["/sites", "Sites", "sites.read"],
  ["/visits", "Visits", "visits.read"],
  ["/plan", "Plan", "plan.read"],
  ["/alerts", "Alerts", "alerts.read"],
  ["/exposure", "Exposure", "exposure.read"],
  ["/coverage", "Coverage", "coverage.read"],
  ["/calibration", "Calibration", "fleet.read"],
  ["/parameters", "Parameters", "parameters.read"],
  ["/imports", "Imports", "imports.read"],
  ["/system", "System", "system.read"],
  ["/access", "Access", "people.manage"],
];

export function MainNav({ role }: { role: string }) {
  const path = usePathname();
  // The whole account's figures stand under Exposure, with a way to what the owners of its books see.
  const seesAll = may({ role }, "exposure.read");
  return (
    <nav aria-label="Main">
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
