import Link from "next/link";
import { banded } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { SITE_COVERAGE } from "@/app/_words/coverage.ts";
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
        <Link href={`/coverage?book=${encodeURIComponent(site.portfolio)}`}>
          {SITE_COVERAGE.coverageOf(site.portfolio)}
        </Link>{" "}
        · <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>{SITE_COVERAGE.siteAndItsEvidence}</Link>
      </p>
      <h1>{SITE_COVERAGE.coverage(site.name)}</h1>
      <p className="soft">{SITE_COVERAGE.todayIsIn(site.siteId, view.today, site.timeZone)}</p>
      <Governs />
      {suspicion ? (
        <p className="note" data-suspicion={suspicion.since}>
          <strong>{SITE_COVERAGE.suspectedSince(suspicion.since)}</strong>
          {SITE_COVERAGE.theModelHoldsA(suspicion.atFirstScore ? SITE_COVERAGE.theFirstScoreOn : "", banded(suspicion))}
        </p>
      ) : null}
      <h2>{SITE_COVERAGE.deadlines}</h2>
      {view.deadlines.length === 0 ? (
        <Empty>{SITE_COVERAGE.noDeadlineIsKnown}</Empty>
      ) : (
        <DeadlineTable deadlines={view.deadlines} currency={view.currency} site={false} />
      )}
      <Discoveries view={view} />
      <Notices view={view} />
      <h2>{SITE_COVERAGE.contracts(view.contracts.length)}</h2>
      {view.troubles.map((t) => (
        <p key={t.says} className="note gap" data-trouble={t.what}>
          {t.says}
        </p>
      ))}
      {view.contracts.length === 0 ? (
        <Empty>{SITE_COVERAGE.noContractIsRecorded}</Empty>
      ) : (
        <ContractTable contracts={view.contracts} site={false} />
      )}
      {view.contracts.map((c) => (
        <details key={c.coverageId}>
          <summary>{SITE_COVERAGE.change(c.coverageId)}</summary>
          <ContractForm siteId={site.siteId} contract={c} />
        </details>
      ))}
      <details>
        <summary>{SITE_COVERAGE.enterAContract}</summary>
        <ContractForm siteId={site.siteId} />
      </details>
      <Papers view={view} />
      <ConditionsTable view={view} />
      <CompletenessTable view={view} />
      <Custody view={view} />
      <h2>{SITE_COVERAGE.evidenceFile}</h2>
      <EvidenceButton siteId={site.siteId} />
      <h2>{SITE_COVERAGE.shareTheEvidence}</h2>
      <p className="soft">{SITE_COVERAGE.aReadOnlyLink}</p>
      <Links to={{ kind: "site", siteId: site.siteId }} links={view.links} />
    </>
  );
}
