import { integerBelow, type Rng } from "../../core/random.ts";
import { makeRoute, type Route, without } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";

/** Largest share of the served stops that one round takes out, and how many at least it may. */
const LARGEST_SHARE = 0.6;
const AT_LEAST = 4;

/**
 * Take stops out of a plan in one of four ways, drawn: anywhere, near one another, a run out of each of some days, or
 * whole days.
 * @returns days, those untouched the same objects
 */
export function removal(problem: RouteProblem, routes: readonly Route[], rng: Rng): Route[] {
  const served = routes.flatMap((route) => route.stops);
  if (served.length === 0) return [...routes];
  const most = Math.min(served.length, Math.max(AT_LEAST, Math.ceil(served.length * LARGEST_SHARE)), 40);
  const count = 1 + Math.floor(most * rng());
  const draw = rng();
  if (draw < 0.15) return withoutDays(problem, routes, rng);
  if (draw < 0.4) return withoutRuns(problem, routes, count, rng);
  const gone = draw < 0.7 ? near(problem, served, count, rng) : anywhere(served, count, rng);
  return routes.map((route) => without(problem, route, gone));
}

function anywhere(served: readonly number[], count: number, rng: Rng): Set<number> {
  const gone = new Set<number>();
  while (gone.size < count) gone.add(served[integerBelow(rng, served.length)] as number);
  return gone;
}

function near(problem: RouteProblem, served: readonly number[], count: number, rng: Rng): Set<number> {
  const centre = served[integerBelow(rng, served.length)] as number;
  const drive = (stop: number) => problem.minutes[centre * problem.nodes + stop] as number;
  // Each distance is blurred a little, so that the same centre does not always take the same stops.
  const blurred = served.map((stop) => ({ stop, minutes: stop === centre ? -1 : drive(stop) * (0.75 + 0.5 * rng()) }));
  blurred.sort((a, b) => a.minutes - b.minutes);
  return new Set(blurred.slice(0, count).map(({ stop }) => stop));
}

function withoutRuns(problem: RouteProblem, routes: readonly Route[], count: number, rng: Rng): Route[] {
  const now = [...routes];
  let left = count;
  for (let tries = 0; left > 0 && tries < routes.length; tries++) {
    const route = now[integerBelow(rng, now.length)] as Route;
    if (route.stops.length === 0) continue;
    const length = Math.min(left, 1 + integerBelow(rng, route.stops.length));
    const from = integerBelow(rng, route.stops.length - length + 1);
    now[route.day] = without(problem, route, new Set(route.stops.slice(from, from + length)));
    left -= length;
  }
  return now;
}

function withoutDays(problem: RouteProblem, routes: readonly Route[], rng: Rng): Route[] {
  const now = [...routes];
  const busy = routes.filter((route) => route.stops.length > 0);
  for (let n = busy.length > 4 && rng() < 0.5 ? 2 : 1; n > 0; n--) {
    const route = busy[integerBelow(rng, busy.length)] as Route;
    now[route.day] = makeRoute(problem, route.day, []) as Route;
  }
  return now;
}
