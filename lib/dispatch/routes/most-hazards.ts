import { type HazardsFirst, heldTo, withoutCost } from "./hazards-first.ts";
import type { PlanOptions } from "./plan-options.ts";
import { proveRoutes } from "./prove-routes.ts";
import type { RouteInstance } from "./route-instance.ts";

export interface MostHazards extends HazardsFirst {
  /** No plan serves more stops of the highest tier; null where all are served or nothing was shown. */
  most: number | null;
}

/** What all earliness together may count for against one stop more. */
const EARLINESS = 0.3;

/**
 * Where some stop of the highest tier has no place: the same question with each such stop counted as one, so that the
 * bound says how many any plan could serve, and a plan that serves more is taken, among equals one on earlier days.
 */
export async function mostHazards(
  instance: RouteInstance,
  first: HazardsFirst,
  options: PlanOptions,
): Promise<MostHazards> {
  const servable = instance.stops.filter((stop) => stop.tier === 2 && stop.offers.some((offer) => offer !== null));
  const count = first.routes.reduce((total, route) => total + route.length, 0);
  if (options.solver === null || count === servable.length) return { ...first, most: null };
  const begin = Math.min(...instance.crewDays.map((day) => day.from));
  const length = Math.max(1, ...instance.crewDays.map((day) => day.from - begin));
  const worth = instance.crewDays.map((day) => 1 + (EARLINESS / servable.length) * (1 - (day.from - begin) / length));
  const counting = {
    ...instance,
    crewDays: instance.crewDays.map(withoutCost),
    stops: instance.stops.map((stop) => ({
      ...stop,
      tier: 0 as const,
      offers: stop.offers.map((offer, day) =>
        offer && stop.tier === 2 ? { ...offer, value: worth[day] as number } : null,
      ),
    })),
  };
  const { rng, effort, solver, pricingRounds, pricingNodes, choiceNodes, stopped } = options;
  const quiet = { rng, effort, solver, pricingRounds, pricingNodes, choiceNodes, ...(stopped ? { stopped } : {}) };
  const found = await proveRoutes(counting, first.routes, quiet);
  const most = found.bound === null ? null : Math.floor(found.bound + 1e-6);
  if (found.routes.reduce((total, route) => total + route.length, 0) <= count) return { ...first, most };
  return { instance: heldTo(instance, found.routes), routes: found.routes, most };
}
