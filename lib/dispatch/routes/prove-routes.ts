import { priceRoutes } from "./price-routes.ts";
import { type RouteInstance, type Routes, routesValue } from "./route-instance.ts";
import { type SearchOptions, searchRoutes } from "./search-routes.ts";
import type { Column, SetPacking, SetPackingSolver } from "./set-packing.ts";

export interface ProvenRoutes {
  routes: Routes;
  /** Value of the stops served; the tiers are not in it. */
  objective: number;
  /**
   * No plan that serves the same stops of the tiers, and those of the highest as soon, is worth more; null while that has
   * not been shown. Whether more of those could be served is not in it.
   */
  bound: number | null;
  /** (bound - objective) / bound; null without a bound. */
  gap: number | null;
}

export interface PlanOptions extends SearchOptions {
  solver: SetPackingSolver | null;
  /** Rounds of pricing, 0 for no bound. */
  pricingRounds: number;
  /** Nodes of each pricing tree. */
  pricingNodes: number;
  /** Nodes of the choice among the routes known. */
  choiceNodes: number;
}

const CLOSE_ENOUGH = 1e-4;

/**
 * The best routes found from a start, and how much better any could be: search, then routes priced in by their worth at
 * the relaxation's prices, then the best choice among all routes met. The bound rests on prices alone (Lagrange), so it
 * holds at every round, whatever the solver's accuracy.
 */
export async function proveRoutes(given: RouteInstance, start: Routes, options: PlanOptions): Promise<ProvenRoutes> {
  let instance = given;
  const pool = new Map<string, Column>();
  const pooled = (day: number, stops: readonly number[]) => {
    if (stops.length === 0) return;
    const value = stops.reduce((total, index) => total + (instance.stops[index]?.offers[day]?.value ?? 0), 0);
    const key = `${day}:${[...stops].sort((a, b) => a - b).join(",")}`;
    if (!pool.has(key)) pool.set(key, { value, day, stops: [...stops] });
  };
  const onRoute = (day: number, stops: readonly number[]) => {
    pooled(day, stops);
    options.onRoute?.(day, stops);
  };
  let routes = searchRoutes(instance, { ...options, onRoute, start });
  const served = new Set(routes.flat());
  const must = new Set([...served].filter((index) => (instance.stops[index]?.tier ?? 0) > 0));
  const { solver } = options;
  if (!solver) return result(instance, routes, null);
  instance = withoutLeftOut(instance, served);
  for (const [key, column] of pool) if (column.stops.some((index) => isLeftOut(instance, index))) pool.delete(key);
  const problem = (): SetPacking => ({
    columns: [...pool.values()],
    dayCount: instance.crewDays.length,
    stopCount: instance.stops.length,
    must,
  });
  let bound: number | null = null;
  for (let round = 0; round < options.pricingRounds && !options.stopped?.(); round++) {
    const duals = await solver.relax(problem());
    if (!duals) break;
    const before = pool.size;
    const upper = priceAll(instance, duals, must, options.pricingNodes, pooled);
    if (Number.isFinite(upper) && (bound === null || upper < bound)) bound = upper;
    if (pool.size === before || (bound !== null && bound - duals.value <= CLOSE_ENOUGH * bound)) break;
  }
  const chosen = options.stopped?.() ? null : await solver.choose(problem(), options.choiceNodes);
  const better = chosen ? routesOf(instance, problem(), chosen) : null;
  if (better && routesValue(instance, better) > routesValue(instance, routes) + 1e-9) {
    routes = better;
    options.onBetter?.(routes, routesValue(instance, routes));
  }
  return result(instance, routes, bound);
}

/** The instance in which nobody may serve what a plan leaves out of the tiers. */
function withoutLeftOut(instance: RouteInstance, served: ReadonlySet<number>): RouteInstance {
  const stops = instance.stops.map((stop, index) =>
    stop.tier > 0 && !served.has(index) ? { ...stop, offers: stop.offers.map(() => null) } : stop,
  );
  return { ...instance, stops };
}

const isLeftOut = (instance: RouteInstance, index: number) =>
  instance.stops[index]?.offers.every((offer) => offer === null) ?? true;

function priceAll(
  instance: RouteInstance,
  duals: { stops: readonly number[]; days: readonly number[] },
  must: ReadonlySet<number>,
  nodes: number,
  pooled: (day: number, stops: readonly number[]) => void,
): number {
  // A price below 0 is no price for a stop that may be left out; the solver's rounding can give one.
  const prices = duals.stops.map((price, index) => (must.has(index) ? price : Math.max(0, price)));
  let upper = prices.reduce((total, price) => total + price, 0);
  instance.crewDays.forEach((_, day) => {
    const floor = Math.max(0, duals.days[day] ?? 0);
    const priced = priceRoutes(instance, day, prices, floor, nodes);
    for (const stops of priced.routes) pooled(day, stops);
    upper += priced.most;
  });
  return upper;
}

/** The chosen columns as routes, or null when they do not keep the rules of the choice. */
function routesOf(instance: RouteInstance, problem: SetPacking, chosen: readonly number[]): Routes | null {
  const routes: (readonly number[])[] = instance.crewDays.map(() => []);
  const seen = new Set<number>();
  for (const at of chosen) {
    const column = problem.columns[at];
    if (!column || (routes[column.day] as readonly number[]).length > 0) return null;
    for (const stop of column.stops) {
      if (seen.has(stop)) return null;
      seen.add(stop);
    }
    routes[column.day] = column.stops;
  }
  return [...problem.must].every((index) => seen.has(index)) ? routes : null;
}

function result(instance: RouteInstance, routes: Routes, bound: number | null): ProvenRoutes {
  const objective = routesValue(instance, routes);
  // Rounding can leave the bound a hair below the value it proves best.
  const upper = bound === null ? null : Math.max(bound, objective);
  return { routes, objective, bound: upper, gap: upper === null ? null : upper > 0 ? (upper - objective) / upper : 0 };
}
