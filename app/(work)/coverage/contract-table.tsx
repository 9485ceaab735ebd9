import Link from "next/link";
import { orUnknown, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { ContractLine, PaperLine } from "@/lib/reads/coverage-view.ts";

export const paperHref = (siteId: string, paper: PaperLine) =>
  `/api/pages/coverage/papers/${encodeURIComponent(siteId)}/${paper.documentId}`;

/** Contracts with every term; what nobody recorded says so. */
export function ContractTable({ contracts, site = true }: { contracts: ContractLine[]; site?: boolean }) {
  return (
    <Wide label="Register of contracts">
      <table className="wrapped roomy">
        <thead>
          <tr>
            {[
              "Contract",
              ...(site ? ["Site"] : []),
              "Period",
              "Limit and deductible",
              "Notice",
              "Other terms",
              "Papers",
            ].map((head) => (
              <th key={head} scope="col">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {contracts.map((c) => (
            <tr key={c.coverageId} data-contract={c.coverageId}>
              <td>
                <strong>{words(c.kind)}</strong>
                <br />
                {c.coverageId}
                {c.policyNumber ? `, number ${c.policyNumber}` : ""}
                <br />
                <span className="soft">{orUnknown(c.provider)}</span>
              </td>
              {site ? (
                <td>
                  <Link href={`/coverage/sites/${encodeURIComponent(c.siteId)}`}>{c.siteName}</Link>
                </td>
              ) : null}
              <td>
                {c.startsOn} to {c.endsOn}
                <br />
                <span className="soft">{c.trigger === null ? "trigger not recorded" : words(c.trigger)}</span>
              </td>
              <td>
                {amount(c.limitAmount, c.currency)}
                {c.limitBasis ? ` ${words(c.limitBasis)}` : ""}
                <br />
                <span className="soft">deductible {amount(c.deductibleAmount, c.currency)}</span>
              </td>
              <td>
                {c.noticeDays === null ? (
                  <strong>read the contract, notify now</strong>
                ) : (
                  `${c.noticeDays} days from discovery`
                )}
                <br />
                <span className="soft">to {orUnknown(c.noticeTo)}</span>
              </td>
              <td>
                <OtherTerms contract={c} />
              </td>
              <td>
                <Papers siteId={c.siteId} papers={c.papers} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

const amount = (value: number | null, currency: string | null) =>
  value === null ? "not recorded" : `${value.toLocaleString("en-US")} ${currency ?? "(no currency)"}`;

function OtherTerms({ contract: c }: { contract: ContractLine }) {
  const insurance = c.kind === "property_insurance" || c.kind === "liability_insurance";
  return (
    <>
      Conditions: {c.conditions.length === 0 ? "none recorded" : c.conditions.map(words).join(", ")}
      <br />
      Exclusions: {c.excludes.length === 0 ? "none recorded" : c.excludes.join(", ")}
      {insurance ? (
        <>
          <br />
          Proof of loss: {orUnknown(c.proofOfLossDays, "days")}; suit: {orUnknown(c.suitLimitMonths, "months")}
        </>
      ) : null}
    </>
  );
}

function Papers({ siteId, papers }: { siteId: string; papers: PaperLine[] }) {
  if (papers.length === 0) return <span className="soft">none attached</span>;
  return (
    <>
      {papers.map((paper) => (
        <div key={paper.documentId}>
          <a href={paperHref(siteId, paper)} download>
            {paper.fileName}
          </a>
          {paper.page === null ? "" : `, page ${paper.page}`} <span className="soft">({words(paper.kind)})</span>
        </div>
      ))}
    </>
  );
}
