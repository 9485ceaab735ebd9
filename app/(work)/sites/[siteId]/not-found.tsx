import Link from "next/link";
import { SITES_NOT_FOUND } from "@/app/_words/site.ts";

export default function SiteNotFound() {
  return (
    <>
      <h1>{SITES_NOT_FOUND.noSuchSiteOr}</h1>
      <p>{SITES_NOT_FOUND.rightAfterAnImport}</p>
      <p>
        <Link href="/sites">{SITES_NOT_FOUND.toTheRankedSites}</Link> ·{" "}
        <Link href="/imports">{SITES_NOT_FOUND.toTheImports}</Link>
      </p>
    </>
  );
}
