import Link from "next/link";
import { SHARED, TROUBLE } from "@/app/_words/shared.ts";

export default function NotFound() {
  return (
    <main className="body">
      <h1>{TROUBLE.nothingTitle}</h1>
      <p>{TROUBLE.nothing}</p>
      <p>
        <Link href="/sites">{SHARED.toRankedSites}</Link>
      </p>
    </main>
  );
}
