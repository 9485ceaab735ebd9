import "server-only";
import { AppError } from "../core/app-error.ts";
import { type HeldPlan, heldPlan } from "../dispatch/plans/held-plan.ts";
import { ELSEWHERE, holdsOf, type PlanBasis, routesOf, type StoredPlan } from "../dispatch/plans/stored-plan.ts";
import { plansInForce, storedPlan } from "../store/plans.ts";
import type { Sql } from "../store/transaction.ts";
import { planInput, visitsToPlan, type WantedVisit } from "./plan.ts";
import { queueDocument } from "./queue.ts";

export interface LoadedPlan {
  plan: StoredPlan;
  /** On crews, promises and forecasts as they are now, and visits as they were planned. */
  held: HeldPlan;
  routes: number[][];
}

/** A stored plan as something that can be reckoned with. @throws AppError `not_found` */
export async function loadPlan(tx: Sql, planId: string): Promise<LoadedPlan> {
  const plan = await storedPlan(tx, planId);
  if (!plan) throw new AppError("not_found", { message: `There is no plan "${planId}".` });
  const { input } = await planInput(tx, plan, wantedOf(plan));
  const held = heldPlan(input, holdsOf(plan));
  return { plan, held, routes: routesOf(plan, held) };
}

/** The visits of a plan as they were planned. */
export const wantedOf = (plan: Pick<StoredPlan, "visits">): WantedVisit[] =>
  plan.visits
    .filter((visit) => visit.code !== ELSEWHERE)
    .map(({ visitId, siteId, basis: { expected: _, ...basis } }) => ({ visitId, siteId, ...basis }));

/** Days ahead on which confirmed plans are looked at. */
const AHEAD = 60;

/**
 * The visits of the queue that a plan of these days may serve, and those that a confirmed plan has on another day from
 * `today` on already, as the plan keeps them: left out and why.
 */
export async function openVisits(
  tx: Sql,
  { from, days }: Pick<StoredPlan, "from" | "days">,
  today: string,
): Promise<{ wanted: WantedVisit[]; elsewhere: StoredPlan["visits"] }> {
  const queued = await visitsToPlan(tx, await queueDocument(tx));
  const last = dayAfter(from, days - 1);
  const stops = (await stopsInForce(tx, today, dayAfter(from, AHEAD))).filter(
    ({ stop }) => stop && (stop.day < from || stop.day > last),
  );
  const other = new Map(stops.map((visit) => [visit.visitId, visit]));
  const elsewhere = queued.flatMap((visit): StoredPlan["visits"] => {
    const { visitId, siteId, ...basis } = visit;
    const stop = other.get(visitId)?.stop;
    if (!stop) return [];
    const left = { stop: null, promised: false, pinnedBy: null, frozen: false, code: ELSEWHERE };
    const why = `${stop.crewId} makes it on ${stop.day} by a confirmed plan.`;
    return [{ visitId, siteId, basis: { ...basis, skills: [...basis.skills] } as PlanBasis, ...left, why }];
  });
  return { wanted: queued.filter((visit) => !other.has(visit.visitId)), elsewhere };
}

/** The day so many days after another. */
export const dayAfter = (day: string, days: number) =>
  new Date(Date.parse(`${day}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);

/** Stops of these days that went out in confirmed plans; null: none did. */
export async function outAlready(
  tx: Sql,
  { from, days }: Pick<StoredPlan, "from" | "days">,
): Promise<Pick<StoredPlan, "visits"> | null> {
  const visits = await stopsInForce(tx, from, dayAfter(from, days - 1));
  return visits.length === 0 ? null : { visits };
}

async function stopsInForce(tx: Sql, from: string, to: string): Promise<StoredPlan["visits"]> {
  const inForce = await plansInForce(tx, from, to);
  const visits: StoredPlan["visits"] = [];
  for (const planId of new Set(inForce.map((d) => d.planId))) {
    const own = new Set(inForce.filter((d) => d.planId === planId).map((d) => `${d.crewId} ${d.day}`));
    const plan = await storedPlan(tx, planId);
    visits.push(...(plan?.visits ?? []).filter(({ stop }) => stop && own.has(`${stop.crewId} ${stop.day}`)));
  }
  return visits;
}
