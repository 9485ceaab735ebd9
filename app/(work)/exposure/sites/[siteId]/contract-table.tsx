import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";

const percent = (x: number) => `${Math.round(100 * x)} %`;

/** What each contract is counted with, what it may pay, and what a person has to know of it. */
export function ContractTable({ detail, currency }: { detail: SiteLossDetail; currency: string }) {
  const { contracts, remarks } = detail;
  return (
    <>
      <h2>What may recover it</h2>
      {contracts.length === 0 ? (
        <p className="empty">No contract counts at this site.</p>
      ) : (
        <>
          <p className="soft">
            The chance that a contract pays is the product of four, by judgement: that such a contract answers at all,
            what its conditions as met, broken or unknown leave of that, that the evidence on file is accepted, and that
            notice is in time.
          </p>
          <Wide label="Contracts that count">
            <table data-contracts>
              <thead>
                <tr>
                  <th scope="col">Contract</th>
                  <th scope="col">Ends</th>
                  <th scope="col" className="num">
                    Limit
                  </th>
                  <th scope="col" className="num">
                    Deductible
                  </th>
                  <th scope="col" className="num">
                    Answers at all
                  </th>
                  <th scope="col" className="num">
                    × conditions
                  </th>
                  <th scope="col" className="num">
                    × evidence
                  </th>
                  <th scope="col" className="num">
                    × notice
                  </th>
                  <th scope="col" className="num">
                    = chance
                  </th>
                  <th scope="col" className="num">
                    Expected a year
                  </th>
                </tr>
              </thead>
              <tbody>
                {contracts.map((c) => (
                  <tr key={c.coverageId}>
                    <th scope="row">
                      {words(c.kind)} {c.coverageId}
                    </th>
                    <td>{c.endsOn}</td>
                    <td className="num">{c.limit === null ? "none recorded" : money(c.limit, currency)}</td>
                    <td className="num">{money(c.deductible, currency)}</td>
                    <td className="num">{percent(c.valid)}</td>
                    <td className="num">{percent(c.conditions)}</td>
                    <td className="num">{percent(c.evidence)}</td>
                    <td className="num">{percent(c.notice)}</td>
                    <td className="num">{percent(c.valid * c.conditions * c.evidence * c.notice)}</td>
                    <td className="num">{money(c.recovered, currency)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Wide>
        </>
      )}
      {remarks.map((r) => (
        <p key={r.coverageId + r.says} className={r.counted ? "note" : "note gap"}>
          <strong>{r.coverageId}.</strong> {r.says}
        </p>
      ))}
    </>
  );
}
