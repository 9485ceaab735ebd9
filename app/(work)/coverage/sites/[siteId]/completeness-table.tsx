import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";

/** What is there of the evidence, and what each missing item is worth. */
export function CompletenessTable({ view }: { view: SiteCoverageView }) {
  const { completeness: c } = view;
  return (
    <section aria-label="Completeness of the evidence">
      <h2>Completeness of the evidence: {Math.round(c.score * 100)} %</h2>
      <p className="soft">
        {view.worthSays} Chance that the evidence as it is would be accepted, were everything else in order: about{" "}
        {Math.round(c.accepted * 100)} %, by judgement. Missing items that a visit can get are on its checklist.
      </p>
      <Wide label="Items of evidence">
        <table className="wrapped roomy">
          <thead>
            <tr>
              <th scope="col">Item</th>
              <th scope="col">There</th>
              <th scope="col">What is there or missing</th>
              <th scope="col" className="num">
                Worth of getting it
              </th>
            </tr>
          </thead>
          <tbody>
            {c.items.map((item) => (
              <tr key={item.item} data-item={item.item} data-present={item.present}>
                <th scope="row">{words(item.item)}</th>
                <td>
                  <strong>{item.present ? "✓ yes" : "✕ no"}</strong>
                </td>
                <td>{item.says}</td>
                <td className="num">{item.present ? "" : money(item.worth, view.currency)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
