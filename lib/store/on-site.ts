import { type PersonOnSite, peopleOnSite } from "../visit/check-out.ts";
import type { VisitEdit } from "../visit/visit-edits.ts";
import type { Sql } from "./transaction.ts";

/** Who arrived longer ago than this is looked for no more; the alert about them stands. */
const LOOK_BACK_DAYS = 14;

export interface VisitOnSite {
  visitId: string;
  siteId: string;
  siteName: string;
  people: PersonOnSite[];
}

/** Visits of the last days at which somebody said where they are, with what each of them said last. */
export async function visitsOnSite(tx: Sql, now: number): Promise<VisitOnSite[]> {
  const since = new Date(now - LOOK_BACK_DAYS * 86_400_000);
  const rows = await tx<(VisitEdit & { at: number; site_id: string; name: string; hours: number | null })[]>`
    SELECT e.edit_id, e.visit_id, e.item, e.field, e.value, extract(epoch FROM e.written_at)::float8 * 1000 AS at,
      e.written_by AS by, e.device, e.seq, e.site_id, s.name,
      CASE WHEN st.proposal->'visit'->>'visit_id' = e.visit_id THEN (st.proposal->'visit'->>'hours_on_site')::float8 END AS hours
    FROM visit_edit e JOIN site s USING (account_id, site_id) LEFT JOIN standing st USING (account_id, site_id)
    WHERE e.account_id = current_account() AND e.item = 'visit' AND e.field IN ('state', 'leave_by') AND e.written_at >= ${since}
    ORDER BY e.visit_id, e.device, e.seq`;
  const byVisit = new Map<string, typeof rows>();
  for (const row of rows) byVisit.set(row.visit_id, [...(byVisit.get(row.visit_id) ?? []), row] as never);
  return [...byVisit].map(([visitId, edits]) => ({
    visitId,
    siteId: edits[0]?.site_id ?? "",
    siteName: edits[0]?.name ?? "",
    people: peopleOnSite(edits, edits[0]?.hours ?? null),
  }));
}
