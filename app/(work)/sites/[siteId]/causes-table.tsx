import { Figure } from "@/app/_ui/figure.tsx";
import { words } from "@/app/_ui/format.ts";
import { BONDING_CAUSES, CAUSES } from "@/lib/core/records.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";
import { causeFigure } from "./workings.tsx";

/** Each cause by itself; causes coexist, so these need not add up to one. */
export function CausesTable({ view }: { view: SiteView }) {
  const { score } = view;
  const family = new Set<string>(BONDING_CAUSES);
  const sorted = [...CAUSES].sort((a, b) => score.causes[b] - score.causes[a]);
  return (
    <section>
      <h2>Causes</h2>
      <p className="soft">Probability of each by itself, with its band. Causes can be there together.</p>
      <table>
        <thead>
          <tr>
            <th scope="col">Cause</th>
            <th scope="col">Family</th>
            <th scope="col" className="num">
              Probability
            </th>
          </tr>
        </thead>
        <tbody>
          {sorted.map((cause) => (
            <tr key={cause}>
              <td>{words(cause)}</td>
              <td className="soft">{family.has(cause) ? "bonding" : "other"}</td>
              <td className="num">
                <Figure of={`cause-${cause}`}>{causeFigure(view, cause)}</Figure>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
