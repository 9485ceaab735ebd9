import { CAUTIONS } from "@/app/_words/exposure.ts";
/** Said wherever money stands beside a contract: first thing on the page, never in a footnote. */
export function Cautions({ says }: { says: readonly string[] }) {
  return (
    <section className="note" aria-label={CAUTIONS.beforeYouRelyOn}>
      {says.map((line) => (
        <p key={line}>{line}</p>
      ))}
    </section>
  );
}
