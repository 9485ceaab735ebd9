/** Said wherever money stands beside a contract: first thing on the page, never in a footnote. */
export function Cautions({ says }: { says: readonly string[] }) {
  return (
    <section className="note" aria-label="Before you rely on this">
      {says.map((line) => (
        <p key={line}>{line}</p>
      ))}
    </section>
  );
}
