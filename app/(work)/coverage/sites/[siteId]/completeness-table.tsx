import { money, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";

/** What is there of the evidence, and what each missing item is worth. */
export function CompletenessTable({ view }: { view: SiteCoverageView }) {
  const { completeness: c } = view;
  return (
    <section aria-label="Completeness of the evidence">
      <h2>Completeness of the evidence: {Math.round(c.score * 100)} %</h2>
      <p className="soft">
        {view.worthSays} Of a claim, were everything else in order, the evidence as it is lets{" "}
        {Math.round(c.accepted * 100)} % be counted on, by judgement. Missing items that a visit can get are on its
        checklist.
      </p>
      <Table
        label="Items of evidence"
        className="wrapped roomy"
        rowData={(item) => ({ "data-item": item.item, "data-present": item.present })}
        columns={[
          { name: "Item", head: true, cell: (item) => words(item.item) },
          { name: "There", cell: (item) => <strong>{item.present ? "✓ yes" : "✕ no"}</strong> },
          { name: "What is there or missing", cell: (item) => item.says },
          {
            name: "Worth of getting it",
            num: true,
            cell: (item) => (item.present ? "" : money(item.worth, view.currency)),
          },
        ]}
        rows={c.items}
        keyOf={(item) => item.item}
      />
    </section>
  );
}
