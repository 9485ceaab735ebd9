import Link from "next/link";
import { VISIT_PAPERS } from "@/app/_words/ui.ts";
import type { WrittenVisit } from "@/lib/reads/visits-view.ts";
import { type Column, Table } from "./table.tsx";
import { When } from "./when.tsx";

const NAMES = { checklist: VISIT_PAPERS.checklistPdf, report: VISIT_PAPERS.reportPdf } as const;

/** A visit's paper, drawn when it is asked for. */
export function PaperLink({ visitId, paper }: { visitId: string; paper: keyof typeof NAMES }) {
  return (
    <a href={`/api/pages/visits/${encodeURIComponent(visitId)}/${paper}.pdf`} target="_blank" rel="noreferrer">
      {NAMES[paper]}
    </a>
  );
}

const SITE_COLUMN: Column<WrittenVisit> = {
  name: VISIT_PAPERS.site,
  cell: (v) => <Link href={`/sites/${encodeURIComponent(v.siteId)}`}>{v.siteName}</Link>,
};

/** Visits that somebody wrote something of, each with its report. */
export function WrittenVisits({ visits, withSite = false }: { visits: WrittenVisit[]; withSite?: boolean }) {
  if (visits.length === 0) return <p className="soft">{VISIT_PAPERS.nothingHasBeenWritten}</p>;
  return (
    <Table
      label={VISIT_PAPERS.visitsAndTheirReports}
      columns={[
        { name: VISIT_PAPERS.visit, cell: (v) => v.visitId },
        ...(withSite ? [SITE_COLUMN] : []),
        {
          name: VISIT_PAPERS.written,
          cell: (v) => (
            <>
              <When at={v.from} /> {VISIT_PAPERS.to} <When at={v.to} />, {v.entries}{" "}
              {v.entries === 1 ? VISIT_PAPERS.entry : VISIT_PAPERS.entries}
            </>
          ),
        },
        { name: VISIT_PAPERS.signed, cell: (v) => (v.signed ? VISIT_PAPERS.yes : VISIT_PAPERS.notYet) },
        { name: VISIT_PAPERS.report, label: "", cell: (v) => <PaperLink visitId={v.visitId} paper="report" /> },
      ]}
      rows={visits}
      keyOf={(v) => v.visitId}
    />
  );
}
