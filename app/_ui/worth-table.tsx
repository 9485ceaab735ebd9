import { money } from "@/app/_ui/format.ts";
import { Sentence } from "@/app/_ui/units.tsx";
import type { WorthTerm } from "@/lib/reads/worth-view.ts";

const NAMES: Record<string, string> = {
  people: "People",
  property: "Property",
  energy: "Energy",
  escalation: "Repair",
  deadlines: "Deadlines",
  finds: "Found and fixed",
  information: "Information",
  trip_labour: "Hours",
  trip_distance: "Distance",
};

interface Props {
  terms: readonly WorthTerm[];
  currency: string;
  /** Of a site on watch: what would make a visit worth its trip. */
  wouldChange: string | null;
}

/** What a visit is worth, term by term: what it is expected to avoid in a year, and what its own trip costs. */
export function WorthTable({ terms, currency, wouldChange }: Props) {
  if (terms.length === 0) return <p className="soft">No terms are stored yet: they come with the next score.</p>;
  const counted = terms.filter((term) => term.counted);
  const total = counted.reduce((sum, { amount }) => sum + amount, 0);
  return (
    <>
      <table className="worth">
        <thead>
          <tr>
            <th scope="col">Term</th>
            <th scope="col" className="num">
              Expected
            </th>
            <th scope="col">What it is</th>
          </tr>
        </thead>
        <tbody>
          {counted.map((term) => (
            <Term key={term.term} term={term} />
          ))}
          <tr>
            <th scope="row">Left over</th>
            <td className="num">
              <strong>{money(total, currency)}</strong>
            </td>
            <td>{total >= 0 ? "what is avoided beyond the trip" : "what the trip costs beyond what it avoids"}</td>
          </tr>
          {terms
            .filter((term) => !term.counted)
            .map((term) => (
              <Term key={term.term} term={term} />
            ))}
        </tbody>
      </table>
      {total < 0 ? (
        <p>
          <strong>What would make it worth the trip:</strong>{" "}
          {wouldChange ??
            `${money(-total, currency)} more of expected loss avoided, or a visit near by on the same day. It is queued all the same: urgency and promises are not weighed against money.`}
        </p>
      ) : null}
      <p className="soft">
        Losses avoided in a year, and a trip of its own by the crew that makes it cheapest. In a plan a trip is shared,
        so a visit there costs what its detour and its hours cost.
      </p>
    </>
  );
}

function Term({ term: { term, amount, unit, counted, says, band } }: { term: WorthTerm }) {
  const figure = band
    ? `${amount.toFixed(2)} (${band.low.toFixed(2)} to ${band.high.toFixed(2)}) ${unit}`
    : money(amount, unit);
  return (
    <tr>
      <th scope="row">{NAMES[term] ?? term}</th>
      <td className="num">
        {figure}
        {counted ? "" : ", not added"}
      </td>
      <td>
        <Sentence says={says} />
      </td>
    </tr>
  );
}
