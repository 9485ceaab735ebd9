import { words } from "@/app/_ui/format.ts";
import { BONDING_CAUSES, CAUSES } from "@/lib/core/records.ts";
import type { SiteScore } from "@/lib/reads/documents.ts";

/** Each cause by itself; causes coexist, so these need not add up to one. */
export function CausesTable({ score }: { score: SiteScore }) {
  const family = new Set<string>(BONDING_CAUSES);
  const sorted = [...CAUSES].sort((a, b) => score.causes[b] - score.causes[a]);
  return (
    <section>
      <h2>Causes</h2>
      <p className="soft">Probability of each by itself. Causes can be there together.</p>
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
              <td className="num">{score.causes[cause].toFixed(3)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
