import "server-only";
import type { StoredPlan } from "../dispatch/plans/stored-plan.ts";
import type { Sql } from "../store/transaction.ts";

/**
 * Write a plan's stops into the visits: a planned one gets its crew and hours; what was promised keeps the hours and the
 * crew that were promised. One that an earlier plan had booked and this one leaves out loses both again.
 */
export async function bookVisits(
  tx: Sql,
  plan: Pick<StoredPlan, "visits">,
  before: Pick<StoredPlan, "visits"> | null,
): Promise<void> {
  const stops = plan.visits.flatMap(({ visitId, siteId, stop }) =>
    stop ? [{ visitId, siteId, crewId: stop.crewId, from: iso(stop.start), to: iso(stop.depart) }] : [],
  );
  const served = new Set(stops.map((stop) => stop.visitId));
  const dropped = (before?.visits ?? []).filter((v) => v.stop && !served.has(v.visitId)).map((v) => v.visitId);
  const changed = await tx<{ site_id: string }[]>`
    WITH r AS (
      SELECT * FROM jsonb_to_recordset(${tx.json(stops)})
        AS r("visitId" text, "siteId" text, "crewId" text, "from" timestamptz, "to" timestamptz)
    ), booked AS (
      INSERT INTO visit AS t (account_id, visit_id, site_id, promised_from, promised_to, crew_id, status)
      SELECT current_account(), "visitId", "siteId", "from", "to", "crewId", 'planned' FROM r
      ON CONFLICT (account_id, visit_id) DO UPDATE
        SET promised_from = excluded.promised_from, promised_to = excluded.promised_to, crew_id = excluded.crew_id, status = 'planned'
        WHERE coalesce(t.status, 'planned') = 'planned'
          AND (t.promised_from, t.promised_to, t.crew_id) IS DISTINCT FROM (excluded.promised_from, excluded.promised_to, excluded.crew_id)
      RETURNING site_id
    ), freed AS (
      UPDATE visit SET promised_from = NULL, promised_to = NULL, crew_id = NULL
      WHERE account_id = current_account() AND visit_id = ANY(${dropped}) AND status = 'planned'
      RETURNING site_id
    )
    SELECT site_id FROM booked UNION SELECT site_id FROM freed`;
  await tx`UPDATE site SET revision = revision + 1
    WHERE account_id = current_account() AND site_id = ANY(${changed.map((row) => row.site_id)})`;
}

const iso = (at: number) => new Date(at).toISOString();
