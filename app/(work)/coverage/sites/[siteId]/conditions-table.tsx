import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";

const MARKS = { met: "✓ met", broken: "✕ broken", unknown: "? unknown" } as const;

/** Conditions of contracts held against the records. */
export function ConditionsTable({ view }: { view: SiteCoverageView }) {
  const asked = new Set(view.contracts.flatMap((c) => c.conditions));
  return (
    <section aria-label="Conditions">
      <h2>Conditions against the records</h2>
      <p className="soft">Absence of evidence is unknown, never met. The contract says what a condition means there.</p>
      <Wide label="Each condition">
        <table className="wrapped roomy">
          <thead>
            <tr>
              {["Condition", "State", "Why", "Record behind it", "What restores or settles it"].map((head) => (
                <th key={head} scope="col">
                  {head}
                </th>
              ))}
              <th scope="col" className="num">
                Worth of having it met
              </th>
            </tr>
          </thead>
          <tbody>
            {view.conditions.map((c) => (
              <tr key={c.condition} data-condition={c.condition} data-state={c.state}>
                <th scope="row">
                  {words(c.condition)}
                  <br />
                  <span className="soft">
                    {asked.has(c.condition) ? "in a contract here" : "in no contract on record"}
                  </span>
                </th>
                <td>
                  <strong className="link-state">{MARKS[c.state]}</strong>
                </td>
                <td>{c.says}</td>
                <td>{c.record ?? "none"}</td>
                <td>{c.restores ?? "nothing to do"}</td>
                <td className="num">{c.worth === null ? "" : money(c.worth, view.currency)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
