import { money } from "@/app/_ui/format.ts";
import { Sentence } from "@/app/_ui/units.tsx";
import { WORTH } from "@/app/_words/worth.ts";
import type { WorthTerm } from "@/lib/reads/worth-view.ts";

interface Props {
  terms: readonly WorthTerm[];
  currency: string;
  /** Of a site on watch: what would make a visit worth its trip. */
  wouldChange: string | null;
}

/** What a visit is worth, term by term: what it is expected to avoid in a year, and what its own trip costs. */
export function WorthTable({ terms, currency, wouldChange }: Props) {
  if (terms.length === 0) return <p className="soft">{WORTH.none}</p>;
  const counted = terms.filter((term) => term.counted);
  const total = counted.reduce((sum, { amount }) => sum + amount, 0);
  return (
    <>
      <table className="worth">
        <thead>
          <tr>
            <th scope="col">{WORTH.term}</th>
            <th scope="col" className="num">
              {WORTH.expected}
            </th>
            <th scope="col">{WORTH.whatItIs}</th>
          </tr>
        </thead>
        <tbody>
          {counted.map((term) => (
            <Term key={term.term} term={term} />
          ))}
          <tr>
            <th scope="row">{WORTH.leftOver}</th>
            <td className="num">
              <strong>{money(total, currency)}</strong>
            </td>
            <td>{total >= 0 ? WORTH.beyondTrip : WORTH.beyondAvoided}</td>
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
          <strong>{WORTH.wouldTake}</strong> {wouldChange ?? WORTH.more(money(-total, currency))}
        </p>
      ) : null}
      <p className="soft">{WORTH.how}</p>
    </>
  );
}

function Term({ term: { term, amount, unit, counted, says, band } }: { term: WorthTerm }) {
  const figure = band
    ? `${amount.toFixed(2)} (${band.low.toFixed(2)} to ${band.high.toFixed(2)}) ${unit}`
    : money(amount, unit);
  return (
    <tr>
      <th scope="row">{WORTH.names[term] ?? term}</th>
      <td className="num">
        {figure}
        {counted ? "" : WORTH.notAdded}
      </td>
      <td>
        <Sentence says={says} />
      </td>
    </tr>
  );
}
