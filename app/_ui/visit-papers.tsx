import Link from "next/link";
import { VISIT_PAPERS } from "@/app/_words/ui.ts";
import type { WrittenVisit } from "@/lib/reads/visits-view.ts";
import { When } from "./when.tsx";
import { Wide } from "./wide.tsx";

const NAMES = { checklist: VISIT_PAPERS.checklistPdf, report: VISIT_PAPERS.reportPdf } as const;

/** A visit's paper, drawn when it is asked for. */
export function PaperLink({ visitId, paper }: { visitId: string; paper: keyof typeof NAMES }) {
  return (
    <a href={`/api/pages/visits/${encodeURIComponent(visitId)}/${paper}.pdf`} target="_blank" rel="noreferrer">
      {NAMES[paper]}
    </a>
  );
}

/** Visits that somebody wrote something of, each with its report. */
export function WrittenVisits({ visits, withSite = false }: { visits: WrittenVisit[]; withSite?: boolean }) {
  if (visits.length === 0) return <p className="soft">{VISIT_PAPERS.nothingHasBeenWritten}</p>;
  return (
    <Wide label={VISIT_PAPERS.visitsAndTheirReports}>
      <table>
        <thead>
          <tr>
            <th scope="col">{VISIT_PAPERS.visit}</th>
            {withSite ? <th scope="col">{VISIT_PAPERS.site}</th> : null}
            <th scope="col">{VISIT_PAPERS.written}</th>
            <th scope="col">{VISIT_PAPERS.signed}</th>
            <th scope="col">{VISIT_PAPERS.report}</th>
          </tr>
        </thead>
        <tbody>
          {visits.map((v) => (
            <tr key={v.visitId}>
              <td>{v.visitId}</td>
              {withSite ? (
                <td>
                  <Link href={`/sites/${encodeURIComponent(v.siteId)}`}>{v.siteName}</Link>
                </td>
              ) : null}
              <td>
                <When at={v.from} /> {VISIT_PAPERS.to} <When at={v.to} />, {v.entries}{" "}
                {v.entries === 1 ? VISIT_PAPERS.entry : VISIT_PAPERS.entries}
              </td>
              <td>{v.signed ? VISIT_PAPERS.yes : VISIT_PAPERS.notYet}</td>
              <td>
                <PaperLink visitId={v.visitId} paper="report" />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
