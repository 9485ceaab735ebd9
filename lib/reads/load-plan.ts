import "server-only";
import { AppError } from "../core/app-error.ts";
import { type HeldPlan, heldPlan } from "../dispatch/plans/held-plan.ts";
import { holdsOf, routesOf, type StoredPlan } from "../dispatch/plans/stored-plan.ts";
import { plansInForce, storedPlan } from "../store/plans.ts";
import type { Sql } from "../store/transaction.ts";
import { planInput, type WantedVisit } from "./plan.ts";

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
  plan.visits.map(({ visitId, siteId, basis: { expected: _, ...basis } }) => ({ visitId, siteId, ...basis }));

/** The day so many days after another. */
export const dayAfter = (day: string, days: number) =>
  new Date(Date.parse(`${day}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);

/** Stops of these days that went out in confirmed plans; null: none did. */
export async function outAlready(
  tx: Sql,
  { from, days }: Pick<StoredPlan, "from" | "days">,
): Promise<Pick<StoredPlan, "visits"> | null> {
  const inForce = await plansInForce(tx, from, dayAfter(from, days - 1));
  if (inForce.length === 0) return null;
  const visits: StoredPlan["visits"] = [];
  for (const planId of new Set(inForce.map((d) => d.planId))) {
    const own = new Set(inForce.filter((d) => d.planId === planId).map((d) => `${d.crewId} ${d.day}`));
    const plan = await storedPlan(tx, planId);
    visits.push(...(plan?.visits ?? []).filter(({ stop }) => stop && own.has(`${stop.crewId} ${stop.day}`)));
  }
  return { visits };
}
