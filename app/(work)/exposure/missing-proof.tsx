import { money, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { MISSING_PROOF } from "@/app/_words/exposure.ts";
import type { BookResult } from "@/lib/reads/exposure-stored.ts";

const STATES = {
  missing: "missing",
  broken: "✕ broken",
  unknown: "? unknown",
  not_recorded: MISSING_PROOF.notRecorded,
} as const;
const KINDS = { evidence: "evidence", condition: "condition", terms: MISSING_PROOF.termOfTheContract } as const;
export const stateWords = (state: keyof typeof STATES) => STATES[state];

/** What the sites of a book lack to be paid, and what each thing is worth over all of them. */
export function MissingProof({ book, currency }: { book: BookResult; currency: string }) {
  const { missing, all } = book.proof;
  if (missing.length === 0) return null;
  return (
    <>
      <h2>{MISSING_PROOF.whatMissingProofCosts}</h2>
      <p className="soft">
        {MISSING_PROOF.howMuchTheRecovery} <strong>{money(all, currency)}</strong>
        {MISSING_PROOF.whichIsNotThe}
      </p>
      <Table
        label={MISSING_PROOF.whatMissingProofCosts}
        className="ranked"
        data={{ "data-missing-proof": true }}
        rowData={(m) => ({ "data-missing-item": m.name })}
        columns={[
          {
            name: MISSING_PROOF.what,
            className: "site",
            cell: (m) => (
              <>
                {words(m.name)} <span className="soft">{KINDS[m.what]}</span>
              </>
            ),
          },
          { name: MISSING_PROOF.state, label: MISSING_PROOF.state, cell: (m) => stateWords(m.state) },
          { name: MISSING_PROOF.sites, num: true, label: MISSING_PROOF.sites, cell: (m) => m.sites },
          {
            name: MISSING_PROOF.worthAYear,
            num: true,
            label: MISSING_PROOF.worthAYear,
            cell: (m) => money(m.worth, currency),
          },
        ]}
        rows={missing}
        keyOf={(m) => m.what + m.name + m.state}
      />
    </>
  );
}
