import { type PlanInput, UNSERVED_CODES } from "../routes/plan-input.ts";
import { planInstance } from "../routes/plan-instance.ts";
import type { PlannedDay } from "../routes/walk-route.ts";
import { type WalkedDay, walkRoute } from "../routes/walk-route.ts";
import type { HeldPlan } from "./held-plan.ts";

export type DrivenDay = WalkedDay;

/** A route of a plan as it would be driven, with what is done or under way as it was. */
export function drivenDay(held: HeldPlan, dayIndex: number, route: readonly number[]): DrivenDay {
  const begun = held.begun.get(dayIndex);
  const stops = new Map((begun?.stops ?? []).map((stop) => [stop.visitId, stop]));
  return walkRoute(held.input, held.planned, dayIndex, route, { leave: begun?.leave ?? null, stops });
}

/** Why a crew-day may not serve a visit, in words. */
export function refusalOf(held: HeldPlan, dayIndex: number, visitIndex: number): string {
  const shift = held.planned.shifts[dayIndex] as PlannedDay["shift"];
  const visit = held.input.visits[visitIndex] as PlanInput["visits"][number];
  const { crew, day } = shift;
  const alone = planInstance({ ...held.input, visits: [visit], crews: [crew], from: day, days: 1 });
  const refusal = alone.refused.get(visit.visitId);
  if (!refusal) return `${crew.crewId} may not serve it on ${day}: it was promised for other hours.`;
  if (!UNSERVED_CODES.includes(refusal.code) || refusal.code === "no_crew_day")
    return `${crew.crewId} does not work on ${day}.`;
  if (refusal.code === "other_crew_promised") return `It was promised to crew ${visit.booked?.crewId}.`;
  return refusal.why;
}
