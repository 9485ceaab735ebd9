import Link from "next/link";
import type { WrittenVisit } from "@/lib/reads/visits-view.ts";
import { When } from "./when.tsx";
import { Wide } from "./wide.tsx";

const NAMES = { checklist: "Checklist (PDF)", report: "Report (PDF)" } as const;

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
  if (visits.length === 0) return <p className="soft">Nothing has been written of a visit yet.</p>;
  return (
    <Wide label="Visits and their reports">
      <table>
        <thead>
          <tr>
            <th scope="col">Visit</th>
            {withSite ? <th scope="col">Site</th> : null}
            <th scope="col">Written</th>
            <th scope="col">Signed</th>
            <th scope="col">Report</th>
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
                <When at={v.from} /> to <When at={v.to} />, {v.entries} {v.entries === 1 ? "entry" : "entries"}
              </td>
              <td>{v.signed ? "yes" : "not yet"}</td>
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
