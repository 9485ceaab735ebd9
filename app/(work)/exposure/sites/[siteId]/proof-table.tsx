import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { PROOF_TABLE } from "@/app/_words/exposure.ts";
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
      <h2>{PROOF_TABLE.whatMissingProofCosts}</h2>
      <p className="soft">
        {PROOF_TABLE.evidenceCompleteSoAbout(
          Math.round(100 * proof.completeness),
          Math.round(100 * proof.accepted),
          money(proof.all, currency),
        )}{" "}
        <Link href={`/coverage/sites/${encodeURIComponent(siteId)}`}>{PROOF_TABLE.contractsConditionsAndEvidence}</Link>
      </p>
      {proof.gains.length === 0 ? (
        <Empty>{PROOF_TABLE.nothingThatAContract}</Empty>
      ) : (
        <Table
          label={PROOF_TABLE.whatMissingProofCosts}
          className="wrapped roomy"
          data={{ "data-proof": true }}
          rowData={(g) => ({ "data-missing-item": g.name })}
          columns={[
            { name: PROOF_TABLE.what, head: true, cell: (g) => words(g.name) },
            { name: PROOF_TABLE.state, cell: (g) => stateWords(g.state) },
            { name: PROOF_TABLE.whyAndHowTo, cell: (g) => g.says },
            { name: PROOF_TABLE.contracts, cell: (g) => g.coverageIds.join(", ") },
            { name: PROOF_TABLE.worthAYear, num: true, cell: (g) => money(g.worth, currency) },
          ]}
          rows={proof.gains}
          keyOf={(g) => g.what + g.name}
        />
      )}
    </>
  );
}
