import { seededRng } from "../../core/random.ts";
import { hazardsFirst } from "./hazards-first.ts";
import { mostHazards } from "./most-hazards.ts";
import type { PlanOptions } from "./plan-options.ts";
import { planRegions } from "./plan-regions.ts";
import { type ProvenRoutes, proveRoutes } from "./prove-routes.ts";
import { type RouteInstance, requireInstance } from "./route-instance.ts";
import { searchRoutes } from "./search-routes.ts";

/** Stops and bases up to which all is planned as one; beyond, by regions. */
const MOST_STOPS = 900;
const MOST_BASES = 8;

export interface PlannedRoutes extends ProvenRoutes {
  /** Stops of the highest tier that are not served, and the most that any plan could serve; null: all are, or not shown. */
  hazards: { leftOut: number; most: number | null };
}

/** Anything that plans an instance. */
export type RoutePlanner = (instance: RouteInstance, options: PlanOptions) => Promise<PlannedRoutes>;

/**
 * Routes in order of what matters: as many stops of the highest tier as can be served, each as soon as it can be; then
 * the most valuable plan that keeps to that, with a bound on any other such plan. With a solver the number of those
 * stops is bounded too, and raised where the first search missed one.
 */
export async function planRoutes(instance: RouteInstance, options: PlanOptions): Promise<PlannedRoutes> {
  requireInstance(instance);
  tellFirst(instance, options);
  const first = await mostHazards(instance, hazardsFirst(instance, options), options);
  const large =
    instance.stops.length > MOST_STOPS && new Set(instance.crewDays.map((day) => day.startPlace)).size > MOST_BASES;
  const proven = await (large ? planRegions : proveRoutes)(first.instance, options.start ?? first.routes, options);
  const served = new Set(proven.routes.flat());
  const leftOut = instance.stops.filter((stop, index) => stop.tier === 2 && !served.has(index)).length;
  return { ...proven, hazards: { leftOut, most: first.most } };
}

/** With hazards the search for their places comes first and takes its time: a plain plan is told before it. */
function tellFirst(instance: RouteInstance, { onBetter, onStep }: PlanOptions): void {
  if (!onBetter || instance.stops.every((stop) => stop.tier < 2)) return;
  onStep?.({ stage: "first", done: 0, of: 1 });
  // Numbers of its own, so that listening changes no plan.
  const quick = { rng: seededRng("first"), effort: 0 };
  const first = hazardsFirst(instance, quick);
  searchRoutes(first.instance, { ...quick, start: first.routes, onBetter });
}
