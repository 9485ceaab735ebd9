import { type CrewDay, MINUTE_SLACK, type RouteInstance, type Routes, routesValue } from "./route-instance.ts";
import { timeRoute } from "./route-times.ts";
import { type SearchOptions, searchRoutes } from "./search-routes.ts";

export interface HazardsFirst {
  /** The instance in which each stop of the highest tier keeps its crew-day and begins no later than `routes` have it. */
  instance: RouteInstance;
  /** Routes of those stops alone. */
  routes: Routes;
}

/**
 * As many stops of the highest tier as can be served, on the earliest crew-days, as soon as a crew can be there; then
 * an instance that holds them to it. What is planned in it for money can neither push such a stop out nor delay it.
 *
 * @returns the instance itself when it has no such stop
 */
export function hazardsFirst(instance: RouteInstance, options: SearchOptions): HazardsFirst {
  const none = instance.crewDays.map(() => []);
  if (instance.stops.every((stop) => stop.tier < 2)) return { instance, routes: none };
  const alone = hazardsAlone(instance);
  const quick = soonest(alone);
  const { rng, effort, stopped } = options;
  const found = searchRoutes(alone, { rng, effort, ...(stopped ? { stopped } : {}) });
  const count = (routes: Routes) => routes.reduce((total, route) => total + route.length, 0);
  const more = count(found) - count(quick) || routesValue(alone, found) - routesValue(alone, quick);
  const routes = more > 1e-9 ? found : quick;
  return { instance: heldTo(instance, routes), routes };
}

/** The instance with the highest tier only, each stop worth the more the earlier its crew-day. */
function hazardsAlone(instance: RouteInstance): RouteInstance {
  const first = Math.min(...instance.crewDays.map((day) => day.from));
  const last = Math.max(...instance.crewDays.map((day) => day.to));
  const worth = instance.crewDays.map((day) => 1 + (last - day.from) / Math.max(1, last - first));
  const stops = instance.stops.map((stop) => ({
    ...stop,
    offers: stop.offers.map((offer, day) =>
      offer && stop.tier === 2 ? { windows: offer.windows, value: worth[day] as number } : null,
    ),
  }));
  return { ...instance, crewDays: instance.crewDays.map(withoutCost), stops };
}

/** No money is weighed against a hazard. */
export const withoutCost = (day: CrewDay): CrewDay => ({ ...day, costPerMinute: 0, costPerKm: 0 });

/** Each time the stop whose work can begin soonest, at the end of a crew's day. */
function soonest(instance: RouteInstance): Routes {
  const routes: number[][] = instance.crewDays.map(() => []);
  const open = new Set(instance.stops.flatMap((stop, index) => (stop.offers.some((offer) => offer) ? [index] : [])));
  while (open.size > 0) {
    let best: { day: number; index: number; start: number } | null = null;
    for (const index of open) {
      for (const [day, route] of routes.entries()) {
        const start = lastStart(instance, day, [...route, index]);
        if (start !== null && (best === null || start < best.start)) best = { day, index, start };
      }
    }
    if (!best) break;
    (routes[best.day] as number[]).push(best.index);
    open.delete(best.index);
  }
  return routes;
}

/** When the last stop of a route begins; null when it cannot be driven. */
function lastStart(instance: RouteInstance, day: number, route: number[]): number | null {
  const timed = timeRoute(instance, day, route);
  const stop = instance.stops[route.at(-1) as number];
  return timed && stop ? (timed.departs.at(-1) as number) - stop.serviceMinutes : null;
}

/** The instance in which these stops keep their crew-day and begin no later, and others of the highest tier come after. */
export function heldTo(instance: RouteInstance, routes: Routes): RouteInstance {
  const served = new Set(routes.flat());
  // One that has no place stays below those that have: it cannot take the place of another, only what is left.
  const stops = instance.stops.map((stop, index) =>
    stop.tier === 2 && !served.has(index) ? { ...stop, tier: 1 as const } : stop,
  );
  for (const [day, route] of routes.entries()) {
    for (const [at, index] of route.entries()) {
      const stop = stops[index] as (typeof stops)[number];
      const by = lastStart(instance, day, route.slice(0, at + 1)) as number;
      const offers = stop.offers.map((offer, other) => {
        if (!offer || other !== day) return null;
        // A start that is the window's own beginning comes back a rounding earlier: it is in the window all the same.
        const windows = offer.windows.flatMap(({ from, to }) =>
          from <= by + MINUTE_SLACK ? [{ from, to: Math.max(from, Math.min(to, by)) }] : [],
        );
        return { ...offer, windows };
      });
      stops[index] = { ...stop, offers };
    }
  }
  return { ...instance, stops };
}
