import Link from "next/link";
import { orUnknown, words } from "@/app/_ui/format.ts";
import { type Column, Table } from "@/app/_ui/table.tsx";
import { CONTRACT_TABLE } from "@/app/_words/coverage.ts";
import type { ContractLine, PaperLine } from "@/lib/reads/coverage-view.ts";

export const paperHref = (siteId: string, paper: PaperLine) =>
  `/api/pages/coverage/papers/${encodeURIComponent(siteId)}/${paper.documentId}`;

const FIRST_ON_PHONE = 6;

const SITE_COLUMN: Column<ContractLine> = {
  name: CONTRACT_TABLE.site,
  label: "",
  cell: (c) => <Link href={`/coverage/sites/${encodeURIComponent(c.siteId)}`}>{c.siteName}</Link>,
};

/** Contracts with every term; what nobody recorded says so. */
export function ContractTable({ contracts, site = true }: { contracts: ContractLine[]; site?: boolean }) {
  return (
    <Table
      label={CONTRACT_TABLE.registerOfContracts}
      className="wrapped roomy"
      rowData={(c) => ({ "data-contract": c.coverageId })}
      columns={[
        {
          name: CONTRACT_TABLE.contract,
          cell: (c) => (
            <>
              <strong>{words(c.kind)}</strong>
              <br />
              {c.coverageId}
              {c.policyNumber ? CONTRACT_TABLE.number(c.policyNumber) : ""}
              <br />
              <span className="soft">{orUnknown(c.provider)}</span>
            </>
          ),
        },
        ...(site ? [SITE_COLUMN] : []),
        {
          name: CONTRACT_TABLE.period,
          cell: (c) => (
            <>
              {CONTRACT_TABLE.to(c.startsOn, c.endsOn)}
              <br />
              <span className="soft">{c.trigger === null ? CONTRACT_TABLE.triggerNotRecorded : words(c.trigger)}</span>
            </>
          ),
        },
        {
          name: CONTRACT_TABLE.limitAndDeductible,
          label: CONTRACT_TABLE.limit,
          cell: (c) => (
            <>
              {amount(c.limitAmount, c.currency)}
              {c.limitBasis ? ` ${words(c.limitBasis)}` : ""}
              <br />
              <span className="soft">{CONTRACT_TABLE.deductible(amount(c.deductibleAmount, c.currency))}</span>
            </>
          ),
        },
        {
          name: CONTRACT_TABLE.notice,
          cell: (c) => (
            <>
              {c.noticeDays === null ? (
                <strong>{CONTRACT_TABLE.readTheContractNotify}</strong>
              ) : (
                CONTRACT_TABLE.daysFromDiscovery(c.noticeDays)
              )}
              <br />
              <span className="soft">{CONTRACT_TABLE.to2(orUnknown(c.noticeTo))}</span>
            </>
          ),
        },
        { name: CONTRACT_TABLE.otherTerms, label: "", cell: (c) => <OtherTerms contract={c} /> },
        { name: CONTRACT_TABLE.papers, cell: (c) => <Papers siteId={c.siteId} papers={c.papers} /> },
      ]}
      rows={contracts}
      later={(_, i) => i >= FIRST_ON_PHONE}
      keyOf={(c) => c.coverageId}
    />
  );
}

const amount = (value: number | null, currency: string | null) =>
  value === null
    ? CONTRACT_TABLE.notRecorded
    : `${value.toLocaleString("en-US")} ${currency ?? CONTRACT_TABLE.noCurrency}`;

function OtherTerms({ contract: c }: { contract: ContractLine }) {
  const insurance = c.kind === "property_insurance" || c.kind === "liability_insurance";
  return (
    <>
      {CONTRACT_TABLE.conditions(
        c.conditions.length === 0 ? CONTRACT_TABLE.noneRecorded : c.conditions.map(words).join(", "),
      )}
      <br />
      {CONTRACT_TABLE.exclusions(c.excludes.length === 0 ? CONTRACT_TABLE.noneRecorded : c.excludes.join(", "))}
      {insurance ? (
        <>
          <br />
          {CONTRACT_TABLE.proofOfLossSuit(orUnknown(c.proofOfLossDays, "days"), orUnknown(c.suitLimitMonths, "months"))}
        </>
      ) : null}
    </>
  );
}

function Papers({ siteId, papers }: { siteId: string; papers: PaperLine[] }) {
  if (papers.length === 0) return <span className="soft">{CONTRACT_TABLE.noneAttached}</span>;
  return (
    <>
      {papers.map((paper) => (
        <div key={paper.documentId}>
          <a href={paperHref(siteId, paper)} download>
            {paper.fileName}
          </a>
          {paper.page === null ? "" : CONTRACT_TABLE.page(paper.page)}{" "}
          <span className="soft">({words(paper.kind)})</span>
        </div>
      ))}
    </>
  );
}
