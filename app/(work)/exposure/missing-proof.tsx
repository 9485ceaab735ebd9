import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
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
      <Wide label="What missing proof costs">
        <table className="ranked" data-missing-proof>
          <thead>
            <tr>
              <th scope="col">What</th>
              <th scope="col">State</th>
              <th scope="col" className="num">
                Sites
              </th>
              <th scope="col" className="num">
                Worth a year
              </th>
            </tr>
          </thead>
          <tbody>
            {missing.map((m) => (
              <tr key={m.what + m.name + m.state} data-missing-item={m.name}>
                <td className="site">
                  {words(m.name)} <span className="soft">{KINDS[m.what]}</span>
                </td>
                <td data-label="State">{stateWords(m.state)}</td>
                <td className="num" data-label="Sites">
                  {m.sites}
                </td>
                <td className="num" data-label="Worth a year">
                  {money(m.worth, currency)}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </>
  );
}
