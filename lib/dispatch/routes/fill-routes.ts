import type { Rng } from "../../core/random.ts";
import type { RouteInstance, RouteStop } from "./route-instance.ts";
import { bestInsertion, insertionCost, type TimedRoute, timeRoute } from "./route-times.ts";

export interface FillStyle {
  /** Power of the value in value over delay. */
  exponent: number;
  /** Share by which a rating is blurred, 0 for none. */
  noise: number;
  rng: Rng;
}

/** Share of a mean shift added to every delay so that a stop on the way is not infinitely good. */
const DELAY_FLOOR = 0.006;

interface Candidate {
  at: number;
  rating: number;
}

/**
 * Puts unserved stops into the routes, best value for the delay first, until none fits. Changes `routes` in place.
 *
 * @param weights what a stop counts for, tiers included
 */
export function fillRoutes(
  instance: RouteInstance,
  routes: TimedRoute[],
  waiting: Set<number>,
  weights: readonly number[],
  style: FillStyle,
): void {
  const shifts = instance.crewDays.reduce((total, day) => total + Math.max(0, day.to - day.from), 0);
  const floor = Math.max(1e-6, (DELAY_FLOOR * shifts) / Math.max(1, instance.crewDays.length));
  const rate = (day: number, index: number): Candidate | null => {
    const found = bestInsertion(instance, day, routes[day] as TimedRoute, index);
    if (!found) return null;
    const stop = instance.stops[index] as RouteStop;
    const cost = insertionCost(instance, day, routes[day] as TimedRoute, index, found.at);
    const worth = (stop.offers[day]?.value ?? 0) + (weights[index] as number) - cost;
    if (worth < 0) return null;
    const blur = style.noise > 0 ? 1 + style.noise * (2 * style.rng() - 1) : 1;
    return { at: found.at, rating: (blur * (worth + 1e-9) ** style.exponent) / (found.delay + floor) };
  };
  const table = new Map<number, (Candidate | null)[]>();
  for (const index of waiting)
    table.set(
      index,
      routes.map((_, day) => rate(day, index)),
    );
  for (;;) {
    let best: { index: number; day: number; at: number; rating: number } | null = null;
    for (const [index, row] of table) {
      for (let day = 0; day < row.length; day++) {
        const candidate = row[day];
        if (candidate && (!best || candidate.rating > best.rating)) best = { index, day, ...candidate };
      }
    }
    if (!best) return;
    const { index, day, at } = best;
    const stops = [...(routes[day] as TimedRoute).stops];
    stops.splice(at, 0, index);
    const timed = timeRoute(instance, day, stops);
    if (!timed) {
      (table.get(index) as (Candidate | null)[])[day] = null;
      continue;
    }
    routes[day] = timed;
    waiting.delete(index);
    table.delete(index);
    for (const [other, row] of table) if (row[day]) row[day] = rate(day, other);
  }
}
