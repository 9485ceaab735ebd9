import { money, words } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { CONTRACT_TABLE } from "@/app/_words/exposure.ts";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";

const percent = (x: number) => `${Math.round(100 * x)} %`;

/** What each contract is counted with, what it may pay, and what a person has to know of it. */
export function ContractTable({ detail, currency }: { detail: SiteLossDetail; currency: string }) {
  const { contracts, remarks } = detail;
  return (
    <>
      <h2>{CONTRACT_TABLE.whatMayRecoverIt}</h2>
      {contracts.length === 0 ? (
        <Empty>{CONTRACT_TABLE.noContractCountsAt}</Empty>
      ) : (
        <>
          <p className="soft">{CONTRACT_TABLE.howMuchOfA}</p>
          <Table
            label={CONTRACT_TABLE.contractsThatCount}
            data={{ "data-contracts": true }}
            columns={[
              {
                name: CONTRACT_TABLE.contract,
                head: true,
                cell: (c) => (
                  <>
                    {words(c.kind)} {c.coverageId}
                  </>
                ),
              },
              { name: CONTRACT_TABLE.ends, cell: (c) => c.endsOn },
              {
                name: CONTRACT_TABLE.limit,
                num: true,
                cell: (c) => (c.limit === null ? CONTRACT_TABLE.noneRecorded : money(c.limit, currency)),
              },
              { name: CONTRACT_TABLE.deductible, num: true, cell: (c) => money(c.deductible, currency) },
              { name: CONTRACT_TABLE.answersAtAll, num: true, cell: (c) => percent(c.valid) },
              { name: "× conditions", num: true, cell: (c) => percent(c.conditions) },
              { name: "× evidence", num: true, cell: (c) => percent(c.evidence) },
              { name: "× notice", num: true, cell: (c) => percent(c.notice) },
              {
                name: CONTRACT_TABLE.countedOn,
                num: true,
                cell: (c) => percent(c.valid * c.conditions * c.evidence * c.notice),
              },
              { name: CONTRACT_TABLE.expectedAYear, num: true, cell: (c) => money(c.recovered, currency) },
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
