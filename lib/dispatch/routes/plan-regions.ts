import { betterChoice } from "./better-choice.ts";
import { generateRoutes } from "./generate-routes.ts";
import { withoutLeftOut } from "./left-out.ts";
import type { PlanOptions } from "./plan-options.ts";
import { type ProvenRoutes, result } from "./prove-routes.ts";
import { borderGroups, type Region, regionsOf } from "./regions.ts";
import { type RouteInstance, type Routes, routesValue } from "./route-instance.ts";
import { RoutePool } from "./route-pool.ts";
import { searchRoutes } from "./search-routes.ts";

/** Rounds of pricing over the whole, where every crew-day sees every stop: each gives a bound for the whole. */
const WHOLE_ROUNDS = 6;
/** Columns that one choice is made among. */
const MOST_COLUMNS = 1600;
const CHOICE_GAP = 5e-4;
/** Rounds of pricing inside a region. */
const REGION_ROUNDS = 6;

/**
 * The same as `proveRoutes` for many crews: regions around the bases are searched and priced one by one, their routes
 * are put together, and the best choice is made region by region and then across each border. The bound is no sum of the
 * regions' bounds, which would not hold for plans across borders: it is Lagrange's for the whole, every crew-day priced
 * over every stop.
 */
export async function planRegions(given: RouteInstance, start: Routes, options: PlanOptions): Promise<ProvenRoutes> {
  const { solver, stopped } = options;
  const regions = regionsOf(given);
  let routes: Routes = start;
  const met: [number, readonly number[]][] = [];
  const tell = () => options.onBetter?.(routes, routesValue(given, routes));
  for (const [at, region] of regions.entries()) {
    if (stopped?.()) break;
    options.onStep?.({ stage: "search", done: at, of: regions.length });
    const part = partOf(given, region);
    const found = searchRoutes(part.instance, {
      rng: options.rng,
      effort: Math.ceil(options.effort / regions.length),
      start: part.routesIn(routes),
      onRoute: (day, stops) => met.push([part.dayOut(day), stops.map(part.stopOut)]),
      ...(stopped ? { stopped } : {}),
    });
    routes = part.withRoutes(routes, found);
    tell();
  }
  if (!solver || options.pricingRounds === 0 || stopped?.()) return result(given, routes, null);

  const served = new Set(routes.flat());
  const instance = withoutLeftOut(given, served);
  const must = new Set([...served].filter((index) => (given.stops[index]?.tier ?? 0) > 0));
  const pool = new RoutePool(instance);
  pool.indicesOf(routes);
  for (const [day, stops] of met) if (stops.every((index) => instance.stops[index]?.offers[day])) pool.add(day, stops);
  const quiet = { ...options, onBound: () => {}, onStep: () => {} };
  for (const region of regions) await priceRegion(instance, region, pool, must, quiet);
  const model = solver.open({ dayCount: instance.crewDays.length, stopCount: instance.stops.length, must });
  try {
    const rounds = Math.min(WHOLE_ROUNDS, options.pricingRounds);
    const found = await generateRoutes(instance, pool, model, must, { ...options, pricingRounds: rounds });
    const groups = [...regions.map((region) => region.days), ...borderGroups(given, regions)];
    for (const [at, days] of groups.entries()) {
      if (stopped?.()) break;
      options.onStep?.({ stage: "choice", done: at, of: groups.length });
      const scope = { days: new Set(days), most: MOST_COLUMNS, gap: CHOICE_GAP };
      const better = await betterChoice(instance, { pool, model, must }, routes, { ...options, ...found }, scope);
      if (!better) continue;
      routes = better;
      tell();
    }
    return result(instance, routes, found.bound);
  } finally {
    model.close();
  }
}

async function priceRegion(
  instance: RouteInstance,
  region: Region,
  pool: RoutePool,
  must: ReadonlySet<number>,
  options: PlanOptions,
): Promise<void> {
  if (!options.solver || options.stopped?.()) return;
  const part = partOf(instance, region);
  const own = new RoutePool(part.instance);
  for (const { day, stops } of pool.columns) {
    const inside = part.routeIn(day, stops);
    if (inside) own.add(inside.day, inside.stops);
  }
  const owed = new Set(region.stops.flatMap((index, at) => (must.has(index) ? [at] : [])));
  const shape = { dayCount: region.days.length, stopCount: region.stops.length, must: owed };
  const model = options.solver.open(shape);
  try {
    const pricingRounds = Math.min(REGION_ROUNDS, options.pricingRounds);
    await generateRoutes(part.instance, own, model, owed, { ...options, pricingRounds });
    for (const { day, stops } of own.columns) pool.add(part.dayOut(day), stops.map(part.stopOut));
  } finally {
    model.close();
  }
}

/** The instance of a region alone, and the way between its numbers and those of the whole. */
function partOf(instance: RouteInstance, { days, stops }: Region) {
  const dayAt = new Map(days.map((day, at) => [day, at]));
  const stopAt = new Map(stops.map((stop, at) => [stop, at]));
  const part: RouteInstance = {
    ...instance,
    crewDays: days.map((day) => instance.crewDays[day] as RouteInstance["crewDays"][number]),
    stops: stops.map((index) => {
      const stop = instance.stops[index] as RouteInstance["stops"][number];
      return { ...stop, offers: days.map((day) => stop.offers[day] ?? null) };
    }),
  };
  const routeIn = (day: number, route: readonly number[]) => {
    const at = dayAt.get(day);
    const inside = route.map((index) => stopAt.get(index) ?? -1);
    return at === undefined || inside.includes(-1) ? null : { day: at, stops: inside };
  };
  return {
    instance: part,
    routeIn,
    dayOut: (day: number) => days[day] as number,
    stopOut: (stop: number) => stops[stop] as number,
    routesIn: (routes: Routes) => days.map((day) => routeIn(day, routes[day] ?? [])?.stops ?? []),
    withRoutes: (routes: Routes, found: Routes): Routes =>
      routes.map((route, day) => {
        const at = dayAt.get(day);
        return at === undefined ? route : (found[at] as readonly number[]).map((stop) => stops[stop] as number);
      }),
  };
}
