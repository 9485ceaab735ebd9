import Link from "next/link";

/** In place of figures: the site is on record twice, and its money counts under the other name. */
export function CountedAs({ siteId, countedAs }: { siteId: string; countedAs: string }) {
  return (
    <>
      <p>
        <Link href="/exposure">Exposure</Link>
      </p>
      <h1>{siteId}</h1>
      <p className="note gap" data-counted-as={countedAs}>
        <strong>On record twice.</strong> This site and{" "}
        <Link href={`/exposure/sites/${encodeURIComponent(countedAs)}`}>{countedAs}</Link> stand at one place and name
        the same inverter, so its money is counted once, there. Nothing is taken off{" "}
        <Link href={`/sites/${encodeURIComponent(siteId)}`}>its records</Link> or{" "}
        <Link href={`/coverage/sites/${encodeURIComponent(siteId)}`}>its contracts</Link>. If they are two sites,
        correct the serial number or the coordinates of one and import it again.
      </p>
    </>
  );
}
