import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";
import { stateWords } from "../../missing-proof.tsx";

interface Props {
  proof: SiteLossDetail["proof"];
  currency: string;
  siteId: string;
}

/** What is missing or broken at this site, and what each is worth in expected recovery. */
export function ProofTable({ proof, currency, siteId }: Props) {
  if (!proof) return null;
  return (
    <>
      <h2>What missing proof costs</h2>
      <p className="soft">
        Evidence {Math.round(100 * proof.completeness)} % complete, so about {Math.round(100 * proof.accepted)} % likely
        to be accepted, by judgement. Worth: rise of the recovery expected over the coming year with that one thing,
        everything else as it is; all of it together {money(proof.all, currency)}, which is not the sum.{" "}
        <Link href={`/coverage/sites/${encodeURIComponent(siteId)}`}>Contracts, conditions and evidence</Link>
      </p>
      {proof.gains.length === 0 ? (
        <Empty>Nothing that a contract here hangs on is missing on record. The contract may ask for more.</Empty>
      ) : (
        <Table
          label="What missing proof costs"
          className="wrapped roomy"
          data={{ "data-proof": true }}
          rowData={(g) => ({ "data-missing-item": g.name })}
          columns={[
            { name: "What", head: true, cell: (g) => words(g.name) },
            { name: "State", cell: (g) => stateWords(g.state) },
            { name: "Why, and how to get it", cell: (g) => g.says },
            { name: "Contracts", cell: (g) => g.coverageIds.join(", ") },
            { name: "Worth a year", num: true, cell: (g) => money(g.worth, currency) },
          ]}
          rows={proof.gains}
          keyOf={(g) => g.what + g.name}
        />
      )}
    </>
  );
}
