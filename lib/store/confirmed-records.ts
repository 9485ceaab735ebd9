import { z } from "zod";
import { CAUSES, CHECKS, CONFIRMED, OUTCOMES, REPAIR_CAUSES } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import type { ConfirmedVisit, ConfirmingRecords } from "../diagnose/visit-outcomes.ts";
import type { Sql } from "./transaction.ts";

const InspectionRow = z.object({
  site_id: z.string(),
  time_zone: z.string(),
  at: z.date(),
  day_only: z.boolean(),
  check: z.enum(CHECKS),
  outcome: z.enum(OUTCOMES),
  inspector: z.string().nullable(),
});
const RepairRow = z.object({
  site_id: z.string(),
  time_zone: z.string(),
  at: z.date(),
  day_only: z.boolean(),
  cause: z.enum(REPAIR_CAUSES),
  confirmed: z.enum(CONFIRMED),
});

/** Inspections and confirmed repairs of all sites, without the logs that a score needs. */
export async function confirmingRecords(tx: Sql): Promise<ConfirmingRecords[]> {
  const out = new Map<string, { siteId: string; inspections: never[]; repairs: never[] }>();
  const of = (siteId: string) => {
    const own = out.get(siteId) ?? { siteId, inspections: [], repairs: [] };
    out.set(siteId, own);
    return own as unknown as { inspections: unknown[]; repairs: unknown[] };
  };
  const moment = (row: { at: Date; time_zone: string; day_only: boolean }) => ({
    at: row.at.getTime(),
    day: localDay(row.at.getTime(), row.time_zone),
    dayOnly: row.day_only,
  });
  const inspections = await tx`
    SELECT i.site_id, s.time_zone, i.inspected_at AS at, i.inspected_day_only AS day_only, i."check", i.outcome, i.inspector
    FROM inspection i JOIN site s USING (account_id, site_id) WHERE i.account_id = current_account()
    ORDER BY i.site_id, i.inspected_at`;
  for (const row of z.array(InspectionRow).parse([...inspections])) {
    const { check, outcome, inspector } = row;
    of(row.site_id).inspections.push({ inspectedAt: moment(row), check, outcome, inspector });
  }
  const repairs = await tx`
    SELECT r.site_id, s.time_zone, r.repaired_at AS at, r.repaired_day_only AS day_only, r.cause, r.confirmed
    FROM repair r JOIN site s USING (account_id, site_id) WHERE r.account_id = current_account() AND r.confirmed IS NOT NULL
    ORDER BY r.site_id, r.repaired_at`;
  for (const row of z.array(RepairRow).parse([...repairs]))
    of(row.site_id).repairs.push({ repairedAt: moment(row), cause: row.cause, confirmed: row.confirmed });
  return [...out.values()];
}

const StatedRow = z.object({
  place: z.number().int(),
  installer: z.string().nullable(),
  parameter_version: z.string(),
  as_of: z.date(),
  p: z.number(),
  causes: z.record(z.enum(CAUSES), z.number()),
  /** Log odds that groups of sites had added to it by then. */
  shared: z.partialRecord(z.enum(CAUSES), z.number()).nullable(),
  episodes: z.number(),
  wet_episodes: z.number(),
});
export type StatedBefore = z.infer<typeof StatedRow>;

/**
 * What was last stated of a site before each visit: the newest score whose records end before it. A score made with
 * parameters that were saved after the visit is no forecast of it and is passed over.
 * @returns by the visit's place in the list; visits without an earlier score are absent
 */
export async function statedBefore(tx: Sql, visits: readonly ConfirmedVisit[]): Promise<Map<number, StatedBefore>> {
  const rows = await tx`
    SELECT v.place, s.installer, sc.*
    FROM unnest(${visits.map((v) => v.siteId)}::text[], ${visits.map((v) => new Date(v.at).toISOString())}::timestamptz[])
      WITH ORDINALITY AS u (site_id, at, n)
    CROSS JOIN LATERAL (SELECT (u.n - 1)::int AS place) v
    JOIN site s ON s.account_id = current_account() AND s.site_id = u.site_id
    CROSS JOIN LATERAL (
      SELECT c.parameter_version, c.as_of, c.bonding_p AS p, c.result -> 'causes' AS causes, c.result -> 'shared_log_odds' AS shared,
        (c.result #>> '{weather,wet_episodes}')::float8 AS wet_episodes,
        (c.result #>> '{weather,wet_episodes}')::float8 + (c.result #>> '{weather,dry_episodes}')::float8 AS episodes
      FROM score c
      LEFT JOIN parameter_version pv ON pv.account_id = current_account()
        AND pv.version = substring(c.parameter_version FROM '\\+([0-9]+)$')::integer
      WHERE c.account_id = current_account() AND c.site_id = u.site_id AND c.as_of < u.at
        AND (pv.created_at IS NULL OR pv.created_at < u.at)
      ORDER BY c.as_of DESC, c.computed_at DESC LIMIT 1) sc`;
  return new Map(
    z
      .array(StatedRow)
      .parse([...rows])
      .map((row) => [row.place, row]),
  );
}
