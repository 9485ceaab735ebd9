import { z } from "zod";
import { CAUSES, CHECKS, CONFIRMED, OUTCOMES, READING_UNITS, REPAIR_CAUSES, type Section } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import type { CheckedSite, PlacedInspection, PlacedRepair } from "../diagnose/judged-checks.ts";
import type { ConfirmedVisit } from "../diagnose/visit-outcomes.ts";
import { LearningBasis } from "./learning-basis.ts";
import type { Sql } from "./transaction.ts";

/** Stored as '' in keys, null outside. */
const keyText = z
  .string()
  .nullable()
  .transform((key) => (key === "" ? null : key));
type SectionOf = Pick<Section, "sectionId" | "inverterId">;
const InspectionRow = z.object({
  site_id: z.string(),
  time_zone: z.string(),
  at: z.date(),
  day_only: z.boolean(),
  check: z.enum(CHECKS),
  outcome: z.enum(OUTCOMES),
  inspector: z.string().nullable(),
  value: z.string().nullable(),
  unit: z.enum(READING_UNITS).nullable(),
  section_id: keyText,
  inverter_id: keyText,
  point_a: keyText,
  point_b: keyText,
});
const RepairRow = z.object({
  site_id: z.string(),
  time_zone: z.string(),
  at: z.date(),
  day_only: z.boolean(),
  cause: z.enum(REPAIR_CAUSES),
  confirmed: z.enum(CONFIRMED),
  section_id: keyText,
});
const SectionRow = z.object({ site_id: z.string(), section_id: z.string(), inverter_id: z.string() });

/** Inspections and confirmed repairs of all sites, and their sections, without the logs that a score needs. */
export async function confirmingRecords(tx: Sql): Promise<CheckedSite[]> {
  type Own = { siteId: string; inspections: PlacedInspection[]; repairs: PlacedRepair[]; sections: SectionOf[] };
  const out = new Map<string, Own>();
  const of = (siteId: string) => {
    const own = out.get(siteId) ?? { siteId, inspections: [], repairs: [], sections: [] };
    out.set(siteId, own);
    return own;
  };
  const moment = (row: { at: Date; time_zone: string; day_only: boolean }) => ({
    at: row.at.getTime(),
    day: localDay(row.at.getTime(), row.time_zone),
    dayOnly: row.day_only,
  });
  const inspections = await tx`
    SELECT i.site_id, s.time_zone, i.inspected_at AS at, i.inspected_day_only AS day_only, i."check", i.outcome, i.inspector,
      i.value, i.unit, i.section_id, i.inverter_id, i.point_a, i.point_b
    FROM inspection i JOIN site s USING (account_id, site_id) WHERE i.account_id = current_account()
    ORDER BY i.site_id, i.inspected_at`;
  for (const row of z.array(InspectionRow).parse([...inspections])) {
    const { check, outcome, inspector, value, unit } = row;
    of(row.site_id).inspections.push({
      inspectedAt: moment(row),
      check,
      outcome,
      inspector,
      value,
      unit,
      sectionId: row.section_id,
      inverterId: row.inverter_id,
      pointA: row.point_a,
      pointB: row.point_b,
    });
  }
  const repairs = await tx`
    SELECT r.site_id, s.time_zone, r.repaired_at AS at, r.repaired_day_only AS day_only, r.cause, r.confirmed, r.section_id
    FROM repair r JOIN site s USING (account_id, site_id) WHERE r.account_id = current_account() AND r.confirmed IS NOT NULL
    ORDER BY r.site_id, r.repaired_at`;
  for (const row of z.array(RepairRow).parse([...repairs]))
    of(row.site_id).repairs.push({
      repairedAt: moment(row),
      cause: row.cause,
      confirmed: row.confirmed,
      sectionId: row.section_id,
    });
  const sections = await tx`
    SELECT site_id, section_id, inverter_id FROM section WHERE account_id = current_account() AND site_id = ANY(${[...out.keys()]})
    ORDER BY site_id, section_id`;
  for (const row of z.array(SectionRow).parse([...sections]))
    of(row.site_id).sections.push({ sectionId: row.section_id, inverterId: row.inverter_id });
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
  basis: LearningBasis,
});
export type StatedBefore = z.infer<typeof StatedRow>;

/**
 * What was last stated of a site before each visit: the newest score whose records end before it. A score made with
 * parameters that were saved after the visit is no forecast of it and is passed over.
 * @returns by the visit's place in the list; visits without an earlier score are absent
 */
export async function statedBefore(
  tx: Sql,
  visits: readonly Pick<ConfirmedVisit, "siteId" | "at">[],
): Promise<Map<number, StatedBefore>> {
  const rows = await tx`
    SELECT v.place, s.installer, sc.*
    FROM unnest(${visits.map((v) => v.siteId)}::text[], ${visits.map((v) => new Date(v.at).toISOString())}::timestamptz[])
      WITH ORDINALITY AS u (site_id, at, n)
    CROSS JOIN LATERAL (SELECT (u.n - 1)::int AS place) v
    JOIN site s ON s.account_id = current_account() AND s.site_id = u.site_id
    CROSS JOIN LATERAL (
      SELECT c.parameter_version, c.as_of, c.bonding_p AS p, c.learning_basis AS basis, c.result -> 'causes' AS causes, c.result -> 'shared_log_odds' AS shared,
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
