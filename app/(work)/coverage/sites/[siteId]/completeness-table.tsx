import { money, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { COMPLETENESS_TABLE } from "@/app/_words/coverage.ts";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";

/** What is there of the evidence, and what each missing item is worth. */
export function CompletenessTable({ view }: { view: SiteCoverageView }) {
  const { completeness: c } = view;
  return (
    <section aria-label={COMPLETENESS_TABLE.completenessOfTheEvidence}>
      <h2>{COMPLETENESS_TABLE.completenessOfTheEvidence2(Math.round(c.score * 100))}</h2>
      <p className="soft">{COMPLETENESS_TABLE.ofAClaimWere(view.worthSays, Math.round(c.accepted * 100))}</p>
      <Table
        label={COMPLETENESS_TABLE.itemsOfEvidence}
        className="wrapped roomy"
        rowData={(item) => ({ "data-item": item.item, "data-present": item.present })}
        columns={[
          { name: COMPLETENESS_TABLE.item, head: true, cell: (item) => words(item.item) },
          {
            name: COMPLETENESS_TABLE.there,
            cell: (item) => <strong>{item.present ? COMPLETENESS_TABLE.yes : COMPLETENESS_TABLE.no}</strong>,
          },
          { name: COMPLETENESS_TABLE.whatIsThereOr, cell: (item) => item.says },
          {
            name: COMPLETENESS_TABLE.worthOfGettingIt,
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
