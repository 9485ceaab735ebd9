import { z } from "zod";
import type { StoredPlan } from "../dispatch/plans/stored-plan.ts";
import { DayRow, instant, type PlanHead, PlanRow, VisitRow } from "./plan-rows.ts";
import type { Sql } from "./transaction.ts";

const HEAD = `plan_id, from_day::text AS from_day, days, seed, effort, state, objective, bound, notes, based_on, replan_from,
  revision, made_by, made_at, confirmed_by, confirmed_at`;

/** Plans, newest first. */
export async function planHeads(tx: Sql, limit: number): Promise<PlanHead[]> {
  const rows = await tx.unsafe(
    `SELECT ${HEAD} FROM plan WHERE account_id = current_account() ORDER BY made_at DESC, plan_id LIMIT $1`,
    [limit],
  );
  return z.array(PlanRow).parse([...rows]);
}

/** A plan whole; null: there is none by that id. */
export async function storedPlan(tx: Sql, planId: string): Promise<StoredPlan | null> {
  const [head] = await tx.unsafe(`SELECT ${HEAD} FROM plan WHERE account_id = current_account() AND plan_id = $1`, [
    planId,
  ]);
  if (!head) return null;
  const days =
    await tx`SELECT crew_id, day::text AS day, shift_from, shift_to, leave_at, return_at, return_km, free_at, locked_by,
      added_by, closed_by
    FROM plan_day WHERE account_id = current_account() AND plan_id = ${planId} ORDER BY day, crew_id`;
  const visits =
    await tx`SELECT visit_id, site_id, basis, crew_id, day::text AS day, position, arrive_at, start_at, depart_at,
      drive_km, drive_minutes, promised, pinned_by, frozen, code, why
    FROM plan_visit WHERE account_id = current_account() AND plan_id = ${planId} ORDER BY day, crew_id, position, visit_id`;
  return {
    ...PlanRow.parse(head),
    crewDays: z.array(DayRow).parse([...days]),
    visits: z.array(VisitRow).parse([...visits]),
  };
}

export async function insertPlan(tx: Sql, plan: StoredPlan): Promise<void> {
  await tx`
    INSERT INTO plan (account_id, plan_id, from_day, days, seed, effort, state, objective, bound, notes, based_on, replan_from, made_by)
    VALUES (current_account(), ${plan.planId}, ${plan.from}, ${plan.days}, ${plan.seed}, ${plan.effort}, ${plan.state},
      ${plan.objective}, ${plan.bound}, ${tx.json(plan.notes)}, ${plan.basedOn}, ${date(plan.replanFrom)}, ${plan.madeBy})`;
  await insertParts(tx, plan);
}

/** Put other routes and holds into a plan. @returns false when it was changed meanwhile */
export async function replacePlan(tx: Sql, plan: StoredPlan): Promise<boolean> {
  const saved = await tx`
    UPDATE plan SET objective = ${plan.objective}, bound = ${plan.bound}, notes = ${tx.json(plan.notes)}, revision = revision + 1
    WHERE account_id = current_account() AND plan_id = ${plan.planId} AND revision = ${plan.revision}`;
  if (saved.count === 0) return false;
  await tx`DELETE FROM plan_day WHERE account_id = current_account() AND plan_id = ${plan.planId}`;
  await tx`DELETE FROM plan_visit WHERE account_id = current_account() AND plan_id = ${plan.planId}`;
  await insertParts(tx, plan);
  return true;
}

const date = (at: number | null) => (at === null ? null : new Date(at));
const iso = (at: number | null | undefined) => (at === null || at === undefined ? null : new Date(at).toISOString());

async function insertParts(tx: Sql, plan: StoredPlan): Promise<void> {
  const days = plan.crewDays.map((d) => ({
    ...{
      crew_id: d.crewId,
      day: d.day,
      shift_from: iso(d.shiftFrom),
      shift_to: iso(d.shiftTo),
      leave_at: iso(d.leave),
    },
    ...{
      return_at: iso(d.return),
      return_km: d.returnKm,
      free_at: iso(d.freeAt),
      locked_by: d.lockedBy,
      added_by: d.addedBy,
      closed_by: d.closedBy,
    },
  }));
  const visits = plan.visits.map(({ stop, ...v }) => ({
    ...{ visit_id: v.visitId, site_id: v.siteId, basis: v.basis, promised: v.promised, pinned_by: v.pinnedBy },
    ...{ frozen: v.frozen, code: v.code, why: v.why, crew_id: stop?.crewId, day: stop?.day, position: stop?.position },
    ...{ arrive_at: iso(stop?.arrive), start_at: iso(stop?.start), depart_at: iso(stop?.depart) },
    ...{ drive_km: stop?.driveKm, drive_minutes: stop?.driveMinutes },
  }));
  await tx`
    INSERT INTO plan_day (account_id, plan_id, crew_id, day, shift_from, shift_to, leave_at, return_at, return_km, free_at, locked_by, added_by, closed_by)
    SELECT current_account(), ${plan.planId}, crew_id, day, shift_from, shift_to, leave_at, return_at, return_km, free_at, locked_by, added_by, closed_by
    FROM jsonb_to_recordset(${tx.json(days)}) AS r(crew_id text, day date, shift_from timestamptz, shift_to timestamptz,
      leave_at timestamptz, return_at timestamptz, return_km double precision, free_at timestamptz, locked_by text, added_by text, closed_by text)`;
  await tx`
    INSERT INTO plan_visit (account_id, plan_id, visit_id, site_id, basis, crew_id, day, position, arrive_at, start_at, depart_at,
      drive_km, drive_minutes, promised, pinned_by, frozen, code, why)
    SELECT current_account(), ${plan.planId}, r.visit_id, r.site_id, r.basis, r.crew_id, r.day, r.position, r.arrive_at, r.start_at, r.depart_at,
      r.drive_km, r.drive_minutes, r.promised, r.pinned_by, r.frozen, r.code, r.why
    FROM jsonb_to_recordset(${tx.json(visits as never)}) AS r(visit_id text, site_id text, basis jsonb, crew_id text, day date, position smallint,
      arrive_at timestamptz, start_at timestamptz, depart_at timestamptz, drive_km double precision, drive_minutes double precision,
      promised boolean, pinned_by text, frozen boolean, code text, why text)
    JOIN site s ON s.account_id = current_account() AND s.site_id = r.site_id`;
}

/** The plan holds from now on; earlier ones whose days all lie in it hold no more. */
export async function markConfirmed(tx: Sql, { planId, from }: StoredPlan, to: string, person: string): Promise<void> {
  await tx`UPDATE plan SET state = 'superseded'
    WHERE account_id = current_account() AND state = 'confirmed' AND from_day >= ${from} AND from_day + days - 1 <= ${to}`;
  await tx`UPDATE plan SET state = 'confirmed', confirmed_by = ${person}, confirmed_at = clock_timestamp()
    WHERE account_id = current_account() AND plan_id = ${planId}`;
}

export interface PlanChange {
  kind: string;
  says: string;
  reason: string | null;
  detail: Record<string, unknown>;
}

/** @returns the change's number in its plan */
export async function addPlanChange(tx: Sql, planId: string, person: string, change: PlanChange): Promise<number> {
  const [row] = await tx<{ seq: number }[]>`
    INSERT INTO plan_change (account_id, plan_id, seq, person, kind, says, reason, detail)
    SELECT current_account(), ${planId}, coalesce(max(seq), 0) + 1, ${person}, ${change.kind}, ${change.says}, ${change.reason},
      ${tx.json(change.detail as never)}
    FROM plan_change WHERE account_id = current_account() AND plan_id = ${planId} RETURNING seq`;
  return row?.seq ?? 0;
}

const ChangeRow = z.object({
  seq: z.number(),
  at: instant,
  person: z.string(),
  kind: z.string(),
  says: z.string(),
  reason: z.string().nullable(),
});
export type StoredPlanChange = z.infer<typeof ChangeRow>;

export async function planChanges(tx: Sql, planId: string): Promise<StoredPlanChange[]> {
  const rows = await tx`SELECT seq, at, person, kind, says, reason FROM plan_change
    WHERE account_id = current_account() AND plan_id = ${planId} ORDER BY seq DESC`;
  return z.array(ChangeRow).parse([...rows]);
}

/** One change of a plan at a time. */
export async function lockPlans(tx: Sql): Promise<void> {
  await tx`SELECT pg_advisory_xact_lock(hashtextextended('plans/' || current_account(), 0))`;
}

/** The plan that holds for each crew on each day of a span: the newest confirmed one that knows the crew-day. */
export async function plansInForce(
  tx: Sql,
  from: string,
  to: string,
): Promise<{ crewId: string; day: string; planId: string }[]> {
  const rows = await tx<{ crew_id: string; day: string; plan_id: string }[]>`
    SELECT DISTINCT ON (d.day, d.crew_id) d.crew_id, d.day::text AS day, d.plan_id
    FROM plan_day d JOIN plan p USING (account_id, plan_id)
    WHERE d.account_id = current_account() AND p.state = 'confirmed' AND d.day BETWEEN ${from} AND ${to}
    ORDER BY d.day, d.crew_id, p.confirmed_at DESC, p.plan_id`;
  return rows.map((row) => ({ crewId: row.crew_id, day: row.day, planId: row.plan_id }));
}
