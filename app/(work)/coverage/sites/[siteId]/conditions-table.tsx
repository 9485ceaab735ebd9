import { money, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
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
      <Table
        label={CONDITIONS_TABLE.eachCondition}
        className="wrapped roomy"
        rowData={(c) => ({ "data-condition": c.condition, "data-state": c.state })}
        columns={[
          {
            name: CONDITIONS_TABLE.condition,
            head: true,
            cell: (c) => (
              <>
                {words(c.condition)}
                <br />
                <span className="soft">
                  {asked.has(c.condition) ? CONDITIONS_TABLE.inAContractHere : CONDITIONS_TABLE.inNoContractOn}
                </span>
              </>
            ),
          },
          {
            name: CONDITIONS_TABLE.state,
            label: "",
            cell: (c) => <strong className="link-state">{MARKS[c.state]}</strong>,
          },
          { name: CONDITIONS_TABLE.why, label: "", cell: (c) => c.says },
          { name: CONDITIONS_TABLE.recordBehindIt, cell: (c) => c.record ?? CONDITIONS_TABLE.none },
          { name: CONDITIONS_TABLE.whatRestoresOrSettles, cell: (c) => c.restores ?? CONDITIONS_TABLE.nothingToDo },
          {
            name: CONDITIONS_TABLE.worthOfHavingIt,
            num: true,
            cell: (c) => (c.worth === null ? "" : money(c.worth, view.currency)),
          },
        ]}
        rows={view.conditions}
        keyOf={(c) => c.condition}
      />
    </section>
  );
}
