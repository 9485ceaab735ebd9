import { money } from "@/app/_ui/format.ts";
import { Sentence } from "@/app/_ui/units.tsx";
import type { SiteView } from "@/lib/reads/site-view.ts";

const NAMES: Record<string, string> = {
  people: "People",
  property: "Property",
  energy: "Energy",
  escalation: "Repair",
  deadlines: "Deadlines",
  information: "Information",
  trip_labour: "Hours",
  trip_distance: "Distance",
};

/** What a visit is worth, term by term: what it is expected to avoid in a year, and what its own trip costs. */
export function WorthTerms({ terms }: { terms: SiteView["terms"] }) {
  return (
    <details>
      <summary>What the visit is worth, term by term</summary>
      <table>
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
          {terms.map(({ term, amount, unit, counted, says }) => (
            <tr key={term}>
              <th scope="row">{NAMES[term] ?? term}</th>
              <td className="num">
                {money(amount, unit)}
                {counted ? "" : ", not added"}
              </td>
              <td>
                <Sentence says={says} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p>
        Losses avoided in a year, and a trip of its own by the crew that makes it cheapest. In a plan a trip is shared,
        so a visit there costs what its detour and its hours cost.
      </p>
    </details>
  );
}
