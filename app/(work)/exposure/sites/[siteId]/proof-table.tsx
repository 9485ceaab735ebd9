import Link from "next/link";
import { money, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { SiteLossDetail } from "@/lib/reads/exposure-stored.ts";
import { stateWords } from "../../missing-proof.tsx";

/** What is missing or broken at this site, and what each is worth in expected recovery. */
export function ProofTable({
  proof,
  currency,
  siteId,
}: {
  proof: SiteLossDetail["proof"];
  currency: string;
  siteId: string;
}) {
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
        <p className="empty">
          Nothing that a contract here hangs on is missing on record. The contract may ask for more.
        </p>
      ) : (
        <Wide label="What missing proof costs">
          <table className="wrapped roomy" data-proof>
            <thead>
              <tr>
                <th scope="col">What</th>
                <th scope="col">State</th>
                <th scope="col">Why, and how to get it</th>
                <th scope="col">Contracts</th>
                <th scope="col" className="num">
                  Worth a year
                </th>
              </tr>
            </thead>
            <tbody>
              {proof.gains.map((g) => (
                <tr key={g.what + g.name} data-missing-item={g.name}>
                  <th scope="row">{words(g.name)}</th>
                  <td>{stateWords(g.state)}</td>
                  <td>{g.says}</td>
                  <td>{g.coverageIds.join(", ")}</td>
                  <td className="num">{money(g.worth, currency)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
    </>
  );
}
