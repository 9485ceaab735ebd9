import type { Sql } from "./transaction.ts";

export interface VisitSpan {
  visitId: string;
  siteId: string;
  /** Epoch ms between which a repair counts as the visit's. */
  from: number;
  to: number;
}

/** Causes confirmed at each visit's site within its span, by visit; visits with none are absent. */
export async function defectsFound(tx: Sql, spans: readonly VisitSpan[]): Promise<Map<string, number>> {
  const asked = spans.map(({ visitId, siteId, from, to }) => ({
    ...{ visit_id: visitId, site_id: siteId, from_at: new Date(from).toISOString(), to_at: new Date(to).toISOString() },
  }));
  const rows = await tx<{ visit_id: string; n: number }[]>`
    SELECT v.visit_id, count(DISTINCT r.cause)::int AS n
    FROM jsonb_to_recordset(${tx.json(asked)}) AS v(visit_id text, site_id text, from_at timestamptz, to_at timestamptz)
    JOIN repair r ON r.account_id = current_account() AND r.site_id = v.site_id AND r.repaired_at BETWEEN v.from_at AND v.to_at
    WHERE r.confirmed = 'yes' AND r.cause <> 'none_found' GROUP BY v.visit_id`;
  return new Map(rows.map((row) => [row.visit_id, row.n]));
}
