"use client";

import Link from "next/link";
import { usePathname } from "next/navigation";
import { AlertBadge } from "./alert-badge.tsx";

const PAGES = [
  ["/sites", "Sites"],
  ["/visits", "Visits"],
  ["/plan", "Plan"],
  ["/alerts", "Alerts"],
  ["/exposure", "Exposure"],
  ["/coverage", "Coverage"],
  ["/calibration", "Calibration"],
  ["/parameters", "Parameters"],
  ["/imports", "Imports"],
  ["/system", "System"],
] as const;

export function MainNav() {
  const path = usePathname();
  return (
    <nav aria-label="Main">
      {PAGES.map(([href, name]) => (
        <Link key={href} href={href} aria-current={path.startsWith(href) ? "page" : undefined}>
          {name}
          {href === "/alerts" ? <AlertBadge /> : null}
        </Link>
      ))}
    </nav>
  );
}
