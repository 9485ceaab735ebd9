import type { Rng } from "../../core/random.ts";
import { daysBetween, firstDay, type PlanInstance } from "./plan-instance.ts";
import { makeRoute, type Route } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";
import { emptyDays, search } from "./search.ts";

/** What one visit more counts against days of waiting and minutes of driving. */
const ONE_MORE = 1e6;
const ONE_DAY = 1e4;

export interface TierSearch {
  effort: number;
  rng: Rng;
  stopped?: () => boolean;
}

/** The problem in which only the number of visits counts, then that they come on early days, then the drive. */
export function countingProblem(problem: RouteProblem, instance: PlanInstance, byDay: boolean): RouteProblem {
  const first = firstDay(instance);
  const worth = instance.crewDays.map((crew) => ONE_MORE - (byDay ? ONE_DAY * daysBetween(first, crew.day) : 0));
  return {
    ...problem,
    profit: Float64Array.from(problem.profit, (_, i) => worth[i % problem.days] as number),
    arcCost: problem.arcCost.map(() => problem.minutes),
  };
}

/**
 * Days on which as many make-safe visits as possible are made, on the earliest days, each as soon as a crew can be
 * there. Money plays no part.
 */
export function hazardsFirst(
  problem: RouteProblem,
  instance: PlanInstance,
  hazards: readonly number[],
  how: TierSearch,
): Route[] {
  if (hazards.length === 0) return emptyDays(problem);
  const counting = countingProblem(problem, instance, true);
  const quick = soonest(counting, hazards);
  const found = search(counting, { ...how, candidates: hazards, kept: new Set() });
  return worthOf(counting, quick) >= worthOf(counting, found.routes) ? quick : found.routes;
}

/** Each time the visit that can begin soonest, at the end of a crew's day. */
function soonest(problem: RouteProblem, stops: readonly number[]): Route[] {
  const routes = emptyDays(problem);
  const open = new Set(stops);
  while (open.size > 0) {
    let best: { route: Route; stop: number; done: number } | null = null;
    for (const stop of open) {
      for (const route of routes) {
        if ((problem.spans[stop * problem.days + route.day] as readonly number[]).length === 0) continue;
        const next = makeRoute(problem, route.day, [...route.stops, stop]);
        const done = next?.leave[next.stops.length] as number;
        if (next && (best === null || done < best.done)) best = { route: next, stop, done };
      }
    }
    if (!best) break;
    routes[best.route.day] = best.route;
    open.delete(best.stop);
  }
  return routes;
}

/** Visits and days, without the drive. */
function worthOf(problem: RouteProblem, routes: readonly Route[]): number {
  return routes.reduce((sum, route) => sum + (problem.profit[route.day] as number) * route.stops.length, 0);
}

/** The problem in which what is served stays on its crew-day and begins no later than it does now. */
export function heldBy(problem: RouteProblem, routes: readonly Route[]): RouteProblem {
  const spans = [...problem.spans];
  for (const route of routes) {
    for (const [i, stop] of route.stops.entries()) {
      const done = route.leave[i + 1] as number;
      for (let day = 0; day < problem.days; day++) {
        const at = stop * problem.days + day;
        const open = spans[at] as readonly number[];
        spans[at] = day === route.day ? cut(open, done) : [];
      }
    }
  }
  return { ...problem, spans };
}

function cut(spans: readonly number[], latest: number): number[] {
  const out: number[] = [];
  for (let i = 0; i < spans.length; i += 2) {
    const [from, to] = [spans[i] as number, Math.min(spans[i + 1] as number, latest)];
    if (from < to) out.push(from, to);
  }
  return out;
}
