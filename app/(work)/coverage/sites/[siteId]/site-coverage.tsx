import Link from "next/link";
import { banded } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { ContractForm } from "../../contract-form.tsx";
import { ContractTable } from "../../contract-table.tsx";
import { DeadlineTable } from "../../deadline-table.tsx";
import { Governs } from "../../governs.tsx";
import { Links } from "../../links.tsx";
import { CompletenessTable } from "./completeness-table.tsx";
import { ConditionsTable } from "./conditions-table.tsx";
import { Custody } from "./custody.tsx";
import { Discoveries } from "./discoveries.tsx";
import { EvidenceButton } from "./evidence-button.tsx";
import { Notices } from "./notices.tsx";
import { Papers } from "./papers.tsx";

/** Everything about the contracts of one site, what is due first. */
export function SiteCoverage({ view }: { view: SiteCoverageView }) {
  const { site, suspicion } = view;
  return (
    <>
      <p>
        <Link href={`/coverage?book=${encodeURIComponent(site.portfolio)}`}>Coverage of {site.portfolio}</Link> ·{" "}
        <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>Site and its evidence</Link>
      </p>
      <h1>Coverage: {site.name}</h1>
      <p className="soft">
        {site.siteId} · today is {view.today} in {site.timeZone}
      </p>
      <Governs />
      {suspicion ? (
        <p className="note" data-suspicion={suspicion.since}>
          <strong>Suspected since {suspicion.since}</strong>
          {suspicion.atFirstScore ? ", the first score on file, or earlier" : ""}: the model holds a bonding or
          grounding defect more likely than not, {banded(suspicion)}. That is no discovery. Only a named person makes
          one, below.
        </p>
      ) : null}
      <h2>Deadlines</h2>
      {view.deadlines.length === 0 ? (
        <Empty>No deadline is known. A term that nobody recorded has none here.</Empty>
      ) : (
        <DeadlineTable deadlines={view.deadlines} currency={view.currency} site={false} />
      )}
      <Discoveries view={view} />
      <Notices view={view} />
      <h2>Contracts ({view.contracts.length})</h2>
      {view.troubles.map((t) => (
        <p key={t.says} className="note gap" data-trouble={t.what}>
          {t.says}
        </p>
      ))}
      {view.contracts.length === 0 ? (
        <Empty>No contract is recorded for this site.</Empty>
      ) : (
        <ContractTable contracts={view.contracts} site={false} />
      )}
      {view.contracts.map((c) => (
        <details key={c.coverageId}>
          <summary>Change {c.coverageId}</summary>
          <ContractForm siteId={site.siteId} contract={c} />
        </details>
      ))}
      <details>
        <summary>Enter a contract</summary>
        <ContractForm siteId={site.siteId} />
      </details>
      <Papers view={view} />
      <ConditionsTable view={view} />
      <CompletenessTable view={view} />
      <Custody view={view} />
      <h2>Evidence file</h2>
      <EvidenceButton siteId={site.siteId} />
      <h2>Share the evidence</h2>
      <p className="soft">
        A read-only link for an inspector or insurer: it shows this site's evidence and nothing else, no money and no
        papers, until its day or until it is revoked. Each opening is entered in the audit log.
      </p>
      <Links to={{ kind: "site", siteId: site.siteId }} links={view.links} />
    </>
  );
}
