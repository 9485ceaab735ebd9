import Link from "next/link";
import { COUNTED_AS } from "@/app/_words/exposure.ts";

/** In place of figures: the site is on record twice, and its money counts under the other name. */
export function CountedAs({ siteId, countedAs }: { siteId: string; countedAs: string }) {
  return (
    <>
      <p>
        <Link href="/exposure">{COUNTED_AS.exposure}</Link>
      </p>
      <h1>{siteId}</h1>
      <p className="note gap" data-counted-as={countedAs}>
        <strong>{COUNTED_AS.onRecordTwice}</strong> {COUNTED_AS.thisSiteAnd}{" "}
        <Link href={`/exposure/sites/${encodeURIComponent(countedAs)}`}>{countedAs}</Link> {COUNTED_AS.standAtOnePlace}{" "}
        <Link href={`/sites/${encodeURIComponent(siteId)}`}>{COUNTED_AS.itsRecords}</Link> {COUNTED_AS.or}{" "}
        <Link href={`/coverage/sites/${encodeURIComponent(siteId)}`}>{COUNTED_AS.itsContracts}</Link>
        {COUNTED_AS.ifTheyAreTwo}
      </p>
    </>
  );
}
