import { money, words } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";

const percent = (x: number) => `${Math.round(100 * x)} %`;

/** What each contract is counted with, what it may pay, and what a person has to know of it. */
export function ContractTable({ detail, currency }: { detail: SiteLossDetail; currency: string }) {
  const { contracts, remarks } = detail;
  return (
    <>
      <h2>What may recover it</h2>
      {contracts.length === 0 ? (
        <Empty>No contract counts at this site.</Empty>
      ) : (
        <>
          <p className="soft">
            How much of a claim is counted on is the product of four factors, by judgement: how far such a contract
            answers at all, what its conditions as met, broken or unknown leave of that, how far the evidence on file is
            accepted, and what is left by the time of the notice.
          </p>
          <Table
            label="Contracts that count"
            data={{ "data-contracts": true }}
            columns={[
              {
                name: "Contract",
                head: true,
                cell: (c) => (
                  <>
                    {words(c.kind)} {c.coverageId}
                  </>
                ),
              },
              { name: "Ends", cell: (c) => c.endsOn },
              {
                name: "Limit",
                num: true,
                cell: (c) => (c.limit === null ? "none recorded" : money(c.limit, currency)),
              },
              { name: "Deductible", num: true, cell: (c) => money(c.deductible, currency) },
              { name: "Answers at all", num: true, cell: (c) => percent(c.valid) },
              { name: "× conditions", num: true, cell: (c) => percent(c.conditions) },
              { name: "× evidence", num: true, cell: (c) => percent(c.evidence) },
              { name: "× notice", num: true, cell: (c) => percent(c.notice) },
              {
                name: "= counted on",
                num: true,
                cell: (c) => percent(c.valid * c.conditions * c.evidence * c.notice),
              },
              { name: "Expected a year", num: true, cell: (c) => money(c.recovered, currency) },
            ]}
            rows={contracts}
            keyOf={(c) => c.coverageId}
          />
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
