import { money, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

const STATES = { missing: "missing", broken: "✕ broken", unknown: "? unknown", not_recorded: "not recorded" } as const;
const KINDS = { evidence: "evidence", condition: "condition", terms: "term of the contract" } as const;
export const stateWords = (state: keyof typeof STATES) => STATES[state];

/** What the sites of a book lack to be paid, and what each thing is worth over all of them. */
export function MissingProof({ book, currency }: { book: BookResult; currency: string }) {
  const { missing, all } = book.proof;
  if (missing.length === 0) return null;
  return (
    <>
      <h2>What missing proof costs</h2>
      <p className="soft">
        How much the recovery expected over the coming year would rise if that one thing were there at all of its sites,
        everything else as it is. All of it together: <strong>{money(all, currency)}</strong>, which is not the sum,
        because one works on another. Only where a contract counts today; the weights are judgement and stand below.
      </p>
      <Table
        label="What missing proof costs"
        className="ranked"
        data={{ "data-missing-proof": true }}
        rowData={(m) => ({ "data-missing-item": m.name })}
        columns={[
          {
            name: "What",
            className: "site",
            cell: (m) => (
              <>
                {words(m.name)} <span className="soft">{KINDS[m.what]}</span>
              </>
            ),
          },
          { name: "State", label: "State", cell: (m) => stateWords(m.state) },
          { name: "Sites", num: true, label: "Sites", cell: (m) => m.sites },
          { name: "Worth a year", num: true, label: "Worth a year", cell: (m) => money(m.worth, currency) },
        ]}
        rows={missing}
        keyOf={(m) => m.what + m.name + m.state}
      />
    </>
  );
}
