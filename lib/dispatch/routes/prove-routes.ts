import { betterChoice } from "./better-choice.ts";
import { generateRoutes } from "./generate-routes.ts";
import { isLeftOut, withoutLeftOut } from "./left-out.ts";
import type { PlanOptions } from "./plan-options.ts";
import { type RouteInstance, type Routes, routesValue } from "./route-instance.ts";
import { RoutePool } from "./route-pool.ts";
import { searchRoutes } from "./search-routes.ts";

export interface ProvenRoutes {
  routes: Routes;
  /** Value of the stops served less driving and work; the tiers are not in it. */
  objective: number;
  /**
   * No plan that serves the same stops of the tiers, and those of the highest as soon, is worth more; null while that has
   * not been shown. Whether more of those could be served is not in it.
   */
  bound: number | null;
  /** (bound - objective) / bound; null without a bound, and where nothing but cost is left to bound. */
  gap: number | null;
}

/**
 * The best routes found from a start, and how much better any could be: search, then routes priced in by their worth at
 * the relaxation's prices, then the best choice among all routes met. The bound rests on prices alone (Lagrange), so it
 * holds at every round, whatever the solver's accuracy.
 */
export async function proveRoutes(given: RouteInstance, start: Routes, options: PlanOptions): Promise<ProvenRoutes> {
  const met: [number, readonly number[]][] = [];
  const onRoute = (day: number, stops: readonly number[]) => {
    met.push([day, stops]);
    options.onRoute?.(day, stops);
  };
  const onRound = (done: number) => options.onStep?.({ stage: "search", done, of: options.effort });
  let routes = searchRoutes(given, { ...options, onRoute, onRound, start });
  const served = new Set(routes.flat());
  const must = new Set([...served].filter((index) => (given.stops[index]?.tier ?? 0) > 0));
  const { solver, stopped } = options;
  if (!solver || stopped?.()) return result(given, routes, null);
  const instance = withoutLeftOut(given, served);
  const pool = new RoutePool(instance);
  pool.indicesOf(routes);
  for (const [day, stops] of met) if (stops.every((index) => !isLeftOut(instance, index))) pool.add(day, stops);
  const model = solver.open({ dayCount: instance.crewDays.length, stopCount: instance.stops.length, must });
  try {
    const { bound, prices } = await generateRoutes(instance, pool, model, must, options);
    options.onStep?.({ stage: "choice", done: 0, of: 1 });
    const better = stopped?.()
      ? null
      : await betterChoice(instance, { pool, model, must }, routes, { ...options, bound, prices });
    if (better) {
      routes = better;
      options.onBetter?.(routes, routesValue(instance, routes));
    }
    return result(instance, routes, bound);
  } finally {
    model.close();
  }
}

export function result(instance: RouteInstance, routes: Routes, bound: number | null): ProvenRoutes {
  const objective = routesValue(instance, routes);
  if (bound === null) return { routes, objective, bound, gap: null };
  // Rounding can leave the bound a hair below the value it proves best.
  const upper = Math.max(bound, objective);
  return { routes, objective, bound: upper, gap: gapOf(objective, upper) };
}

/** Share by which a plan is at most below any other; null without a bound, and where only cost is left to bound. */
export function gapOf(objective: number, bound: number | null): number | null {
  if (bound === null) return null;
  if (bound > 0) return (bound - objective) / bound;
  return bound - objective <= 1e-9 * Math.abs(objective) ? 0 : null;
}
