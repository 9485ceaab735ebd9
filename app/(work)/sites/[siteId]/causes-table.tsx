import { Figure } from "@/app/_ui/figure.tsx";
import { words } from "@/app/_ui/format.ts";
import { CAUSES_TABLE } from "@/app/_words/site.ts";
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
      <h2>{CAUSES_TABLE.causes}</h2>
      <p className="soft">{CAUSES_TABLE.probabilityOfEachBy}</p>
      <table>
        <thead>
          <tr>
            <th scope="col">{CAUSES_TABLE.cause}</th>
            <th scope="col">{CAUSES_TABLE.family}</th>
            <th scope="col" className="num">
              {CAUSES_TABLE.probability}
            </th>
          </tr>
        </thead>
        <tbody>
          {sorted.map((cause) => (
            <tr key={cause}>
              <td>{words(cause)}</td>
              <td className="soft">{family.has(cause) ? CAUSES_TABLE.bonding : CAUSES_TABLE.other}</td>
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
