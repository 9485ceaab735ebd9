import { generateRoutes } from "./generate-routes.ts";
import { type RouteInstance, type Routes, routesValue } from "./route-instance.ts";
import { RoutePool } from "./route-pool.ts";
import { type SearchOptions, searchRoutes } from "./search-routes.ts";
import type { SetPackingSolver } from "./set-packing.ts";

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

export interface PlanOptions extends SearchOptions {
  solver: SetPackingSolver | null;
  /** Rounds of pricing, 0 for no bound. */
  pricingRounds: number;
  /** Nodes of each pricing tree. */
  pricingNodes: number;
  /** Nodes of the choice among the routes known. */
  choiceNodes: number;
  /** Told of each bound lower than all before it. */
  onBound?: (bound: number) => void;
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
  let routes = searchRoutes(given, { ...options, onRoute, start });
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
    const objective = routesValue(instance, routes);
    const held = pool.indicesOf(routes);
    pool.sendTo(model);
    // A route whose use costs more at the prices than all that can still be won is in no better plan.
    const room = bound === null || !prices ? Number.POSITIVE_INFINITY : bound - objective + 1e-6;
    const keeps = new Set(held);
    const among = pool.columns.flatMap((column, at) => {
      if (keeps.has(at) || !prices) return [at];
      const reduced = column.stops.reduce((total, index) => total - (prices.stops[index] as number), column.value);
      return (prices.most[column.day] as number) - reduced <= room ? [at] : [];
    });
    const limits = { nodes: options.choiceNodes, among, start: held, ...(stopped ? { stopped } : {}) };
    const chosen = stopped?.() ? null : await model.choose(limits);
    const better = chosen ? pool.routesOf(chosen, must) : null;
    if (better && routesValue(instance, better) > objective + 1e-9) {
      routes = better;
      options.onBetter?.(routes, routesValue(instance, routes));
    }
    return result(instance, routes, bound);
  } finally {
    model.close();
  }
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

function result(instance: RouteInstance, routes: Routes, bound: number | null): ProvenRoutes {
  const objective = routesValue(instance, routes);
  if (bound === null) return { routes, objective, bound, gap: null };
  // Rounding can leave the bound a hair below the value it proves best.
  const upper = Math.max(bound, objective);
  const gap = upper > 0 ? (upper - objective) / upper : upper - objective <= 1e-9 * Math.abs(objective) ? 0 : null;
  return { routes, objective, bound: upper, gap };
}
