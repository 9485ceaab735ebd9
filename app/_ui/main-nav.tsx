"use client";

import Link from "next/link";
import { usePathname } from "next/navigation";

const PAGES = [
  ["/sites", "Sites"],
  ["/visits", "Visits"],
  ["/plan", "Plan"],
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
        </Link>
      ))}
    </nav>
  );
}
