import { integerBelow, type Rng } from "../../core/random.ts";
import { fillRoutes } from "./fill-routes.ts";
import { type RouteInstance, type RouteStop, type Routes, requireInstance, routesValue } from "./route-instance.ts";
import { type TimedRoute, timeRoute } from "./route-times.ts";
import { shortenRoute } from "./shorten-route.ts";

export interface SearchOptions {
  rng: Rng;
  /** Rounds of removing and refilling. The same seed and effort give the same routes. */
  effort: number;
  /** Told of each plan better than all before it. */
  onBetter?: (routes: Routes, value: number) => void;
  /** Every route met that ended a round, for a later choice among them. */
  onRoute?: (day: number, stops: readonly number[]) => void;
  /** Told before each round how many are done. */
  onRound?: (done: number) => void;
  /** Asked each round; true ends the search with the best so far. */
  stopped?: () => boolean;
  /** Routes to start from; null starts empty. */
  start?: Routes | null;
}

const RESTART_ROUNDS = 400;
const HOT = 0.01;
const COLD = 0.0005;
const EXPONENTS = [0.7, 1, 1.4, 2];

/**
 * Routes of high value: insertion by value over delay, then rounds that take stops out and fill anew, accepted by
 * annealing. A higher tier outranks any value. Never fails: with nothing to serve the routes are empty.
 *
 * @throws RangeError when the instance is not readable, see `requireInstance`
 */
export function searchRoutes(instance: RouteInstance, options: SearchOptions): Routes {
  requireInstance(instance);
  const weights = tierWeights(instance);
  const { rng } = options;
  const worthOf = (routes: readonly TimedRoute[]) => worth(instance, routes, weights);
  let current = startRoutes(instance, options.start ?? null);
  let waiting = waitingFor(instance, current);
  fillRoutes(instance, current, waiting, weights, { exponent: 1, noise: 0, rng });
  let currentWorth = worthOf(current);
  let best = current;
  let bestWorth = currentWorth;
  const tell = () => options.onBetter?.(stopsOf(best), routesValue(instance, stopsOf(best)));
  tell();
  current.forEach((route, day) => {
    options.onRoute?.(day, route.stops);
  });
  const scale = Math.max(1e-9, routesValue(instance, stopsOf(best)));
  for (let round = 0; round < options.effort && !options.stopped?.(); round++) {
    options.onRound?.(round);
    if (round > 0 && round % RESTART_ROUNDS === 0) {
      current = best;
      currentWorth = bestWorth;
    }
    const trial = [...current];
    removeSome(instance, trial, rng);
    const style = { exponent: EXPONENTS[integerBelow(rng, EXPONENTS.length)] as number, noise: 0.3 * rng(), rng };
    waiting = waitingFor(instance, trial);
    fillRoutes(instance, trial, waiting, weights, style);
    for (let pass = 0; pass < 2; pass++) {
      let shorter = false;
      trial.forEach((route, day) => {
        if (route === current[day]) return;
        trial[day] = shortenRoute(instance, day, route);
        shorter ||= trial[day] !== route;
      });
      if (!shorter) break;
      fillRoutes(instance, trial, waiting, weights, style);
    }
    trial.forEach((route, day) => {
      if (route !== current[day]) options.onRoute?.(day, route.stops);
    });
    const trialWorth = worthOf(trial);
    const heat = scale * HOT * (COLD / HOT) ** (round / options.effort);
    if (trialWorth >= currentWorth || rng() < Math.exp((trialWorth - currentWorth) / heat)) {
      current = trial;
      currentWorth = trialWorth;
    }
    if (trialWorth > bestWorth + 1e-9) {
      best = trial;
      bestWorth = trialWorth;
      tell();
    }
  }
  return stopsOf(best);
}

const stopsOf = (routes: readonly TimedRoute[]): Routes => routes.map((route) => route.stops);

/** What a stop's tier adds, so that one stop more of a tier beats all below it. */
function tierWeights(instance: RouteInstance): number[] {
  const top = instance.stops.map((stop) => Math.max(0, ...stop.offers.map((offer) => offer?.value ?? 0)));
  const one = 1 + top.reduce((total, value) => total + value, 0) + mostCost(instance);
  const two = one * (1 + instance.stops.filter((stop) => stop.tier === 1).length);
  return instance.stops.map((stop) => (stop.tier === 2 ? two + one : stop.tier === 1 ? one : 0));
}

/** No plan costs more: every crew-day drives and works all its shift. */
function mostCost({ crewDays, travel, km }: RouteInstance): number {
  let kmPerMinute = 0;
  km?.forEach((row, from) => {
    row.forEach((each, to) => {
      kmPerMinute = Math.max(kmPerMinute, each / Math.max(0.01, travel[from]?.[to] ?? 0));
    });
  });
  return crewDays.reduce((total, day) => {
    const minute = (day.costPerMinute ?? 0) + (day.costPerKm ? day.costPerKm * kmPerMinute : 0);
    return total + minute * Math.max(0, day.to - day.from);
  }, 0);
}

function worth(instance: RouteInstance, routes: readonly TimedRoute[], weights: readonly number[]): number {
  let total = 0;
  routes.forEach((route, day) => {
    total -= route.stops.length > 0 ? route.cost : 0;
    for (const index of route.stops)
      total += (weights[index] as number) + (instance.stops[index]?.offers[day]?.value ?? 0);
  });
  return total;
}

function startRoutes(instance: RouteInstance, start: Routes | null): TimedRoute[] {
  return instance.crewDays.map((crewDay, day) => {
    const given = start?.[day];
    const timed = given ? timeRoute(instance, day, [...given]) : null;
    if (timed) return timed;
    // A crew-day that cannot even drive from its start to its end stays empty: nothing can be inserted.
    return (
      timeRoute(instance, day, []) ?? {
        stops: [],
        departs: [crewDay.from],
        latest: [Number.NEGATIVE_INFINITY],
        travel: 0,
        cost: 0,
      }
    );
  });
}

function waitingFor(instance: RouteInstance, routes: readonly TimedRoute[]): Set<number> {
  const served = new Set(routes.flatMap((route) => route.stops));
  const waiting = new Set<number>();
  instance.stops.forEach((stop, index) => {
    if (!served.has(index) && stop.offers.some((offer) => offer !== null)) waiting.add(index);
  });
  return waiting;
}

/** Takes stops out: at random, near one another, a whole route, or a section of each route. */
function removeSome(instance: RouteInstance, routes: TimedRoute[], rng: Rng): void {
  const served = routes.flatMap((route) => route.stops);
  if (served.length === 0) return;
  const count = 1 + integerBelow(rng, Math.max(1, Math.min(30, Math.ceil(served.length * 0.4))));
  const out = new Set<number>();
  const kind = rng();
  if (kind < 0.3) {
    for (let k = 0; k < count; k++) out.add(served[integerBelow(rng, served.length)] as number);
  } else if (kind < 0.6) {
    const seed = instance.stops[served[integerBelow(rng, served.length)] as number] as RouteStop;
    const row = instance.travel[seed.place] as readonly number[];
    const far = (index: number) => row[instance.stops[index]?.place as number] as number;
    for (const index of served.sort((a, b) => far(a) - far(b) || a - b).slice(0, count)) out.add(index);
  } else if (kind < 0.7) {
    for (const index of (routes[integerBelow(rng, routes.length)] as TimedRoute).stops) out.add(index);
  } else {
    for (const route of routes) {
      if (route.stops.length === 0 || (routes.length > 4 && rng() < 0.7)) continue;
      const from = integerBelow(rng, route.stops.length);
      const size = 1 + integerBelow(rng, Math.max(1, Math.ceil(route.stops.length / 2)));
      for (const index of route.stops.slice(from, from + size)) out.add(index);
    }
  }
  routes.forEach((route, day) => {
    if (!route.stops.some((index) => out.has(index))) return;
    const kept = route.stops.filter((index) => !out.has(index));
    // Without the triangle inequality, leaving a stop out can make a route longer than its shift: then all go.
    routes[day] = timeRoute(instance, day, kept) ?? timeRoute(instance, day, []) ?? route;
  });
}
