import Link from "next/link";

const PAGES = [
  ["people", "People"],
  ["tokens", "Tokens"],
  ["audit", "Audit log"],
] as const;

export function AccessNav({ at }: { at: (typeof PAGES)[number][0] }) {
  return (
    <nav aria-label="Access" className="sub-nav">
      {PAGES.map(([page, name]) => (
        <Link key={page} href={`/access/${page}`} aria-current={page === at ? "page" : undefined}>
          {name}
        </Link>
      ))}
    </nav>
  );
}
