import Link from "next/link";
import { NAV } from "@/app/_words/shared.ts";

const PAGES = [
  ["people", NAV.people],
  ["tokens", NAV.tokens],
  ["audit", NAV.audit],
] as const;

export function AccessNav({ at }: { at: (typeof PAGES)[number][0] }) {
  return (
    <nav aria-label={NAV.access} className="sub-nav">
      {PAGES.map(([page, name]) => (
        <Link key={page} href={`/access/${page}`} aria-current={page === at ? "page" : undefined}>
          {name}
        </Link>
      ))}
    </nav>
  );
}
