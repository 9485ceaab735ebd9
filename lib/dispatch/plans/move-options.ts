import type { Routes } from "../routes/route-instance.ts";
import { type Consequence, consequenceOf, dayByStop } from "./consequence.ts";
import { drivenDay } from "./driven-day.ts";
import type { HeldPlan } from "./held-plan.ts";

export interface MoveOption {
  /** Null: out of the plan. */
  day: number | null;
  /** Place on the day's route, 0 the first. */
  position: number;
  /** Whether the visit is on this day already, only in another place. */
  sameDay: boolean;
  consequence: Consequence;
}

/** The routes with one visit taken from where it is and put in a place; day null takes it out of the plan. */
export function routesAfterMove(routes: Routes, visit: number, day: number | null, position: number): number[][] {
  const after = routes.map((route) => route.filter((stop) => stop !== visit));
  if (day !== null) (after[day] as number[]).splice(position, 0, visit);
  return after;
}

/**
 * Where a visit could go, each with what it would change: the best place on every other worked crew-day, each other place
 * on its own, and out of the plan. A place that breaks a rule is told too, with the rule.
 */
export function moveOptions(held: HeldPlan, routes: Routes, visit: number): MoveOption[] {
  const own = dayByStop(routes).get(visit) ?? null;
  const option = (day: number | null, position: number): MoveOption => ({
    day,
    position,
    sameDay: day !== null && day === own,
    consequence: consequenceOf(held, routes, routesAfterMove(routes, visit, day, position)),
  });
  const options: MoveOption[] = [];
  for (const day of held.dayOf.values()) {
    const route = (routes[day] ?? []).filter((stop) => stop !== visit);
    const first = held.begun.get(day)?.stops.length ?? 0;
    const places = Array.from({ length: Math.max(1, route.length - first + 1) }, (_, k) =>
      Math.min(first + k, route.length),
    );
    if (day === own) {
      const now = (routes[day] as readonly number[]).indexOf(visit);
      for (const position of places) if (position !== now) options.push(option(day, position));
    } else options.push(option(day, bestPlace(held, day, route, visit, places)));
  }
  if (own !== null) options.push(option(null, 0));
  return options;
}

/** The place that makes the crew least late, and of those the one with the shortest road. */
function bestPlace(held: HeldPlan, day: number, route: readonly number[], visit: number, places: number[]): number {
  let best: { position: number; late: number; km: number } | null = null;
  for (const position of places) {
    const { lateMinutes: late, km } = drivenDay(held, day, [
      ...route.slice(0, position),
      visit,
      ...route.slice(position),
    ]);
    if (!best || late < best.late - 1e-6 || (late <= best.late + 1e-6 && km < best.km - 1e-9))
      best = { position, late, km };
  }
  return best?.position ?? 0;
}
