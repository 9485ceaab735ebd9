import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import { CONDITIONS_TABLE } from "@/app/_words/coverage.ts";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";

const MARKS = { met: "✓ met", broken: "✕ broken", unknown: "? unknown" } as const;

/** Conditions of contracts held against the records. */
export function ConditionsTable({ view }: { view: SiteCoverageView }) {
  const asked = new Set(view.contracts.flatMap((c) => c.conditions));
  return (
    <section aria-label={CONDITIONS_TABLE.conditions}>
      <h2>{CONDITIONS_TABLE.conditionsAgainstTheRecords}</h2>
      <p className="soft">{CONDITIONS_TABLE.absenceOfEvidenceIs}</p>
      <Wide label={CONDITIONS_TABLE.eachCondition}>
        <table className="wrapped roomy">
          <thead>
            <tr>
              {[
                CONDITIONS_TABLE.condition,
                CONDITIONS_TABLE.state,
                CONDITIONS_TABLE.why,
                CONDITIONS_TABLE.recordBehindIt,
                CONDITIONS_TABLE.whatRestoresOrSettles,
              ].map((head) => (
                <th key={head} scope="col">
                  {head}
                </th>
              ))}
              <th scope="col" className="num">
                {CONDITIONS_TABLE.worthOfHavingIt}
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
                    {asked.has(c.condition) ? CONDITIONS_TABLE.inAContractHere : CONDITIONS_TABLE.inNoContractOn}
                  </span>
                </th>
                <td>
                  <strong className="link-state">{MARKS[c.state]}</strong>
                </td>
                <td>{c.says}</td>
                <td>{c.record ?? CONDITIONS_TABLE.none}</td>
                <td>{c.restores ?? CONDITIONS_TABLE.nothingToDo}</td>
                <td className="num">{c.worth === null ? "" : money(c.worth, view.currency)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
