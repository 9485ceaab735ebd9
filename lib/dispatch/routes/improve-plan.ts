import { improveRoute } from "./improve-route.ts";
import { bestInsertion, inserted, type Route, without } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";

const BETTER = 1e-7;

/** Gain of all days together. */
export function gainOf(routes: readonly Route[]): number {
  return routes.reduce((sum, route) => sum + route.gain, 0);
}

/** Minutes driven on all days together. */
export function driveOf(routes: readonly Route[]): number {
  return routes.reduce((sum, route) => sum + route.drive, 0);
}

/** Leave out stops that cost more than they bring, and days that do, the kept stops apart. */
export function dropLosses(problem: RouteProblem, route: Route, kept: ReadonlySet<number>): Route {
  let now = route;
  if (now.gain < 0 && !now.stops.some((stop) => kept.has(stop))) return without(problem, now, new Set(now.stops));
  for (const stop of route.stops) {
    if (kept.has(stop)) continue;
    const less = without(problem, now, new Set([stop]));
    if (less.stops.length === now.stops.length - 1 && less.gain > now.gain + BETTER) now = less;
  }
  return now;
}

/** Put a stop that waits in the place of one that is served, where that gains: swap in and out. First found is taken. */
export function swapIn(
  problem: RouteProblem,
  route: Route,
  waiting: readonly number[],
  kept: ReadonlySet<number>,
): Route | null {
  for (const out of route.stops) {
    if (kept.has(out)) continue;
    const less = without(problem, route, new Set([out]));
    if (less.stops.length !== route.stops.length - 1) continue;
    for (const stop of waiting) {
      if (!(less.gain + bestInsertion(problem, less, stop) > route.gain + BETTER)) continue;
      const next = inserted(problem, less, stop);
      if (next) return improveRoute(problem, next);
    }
  }
  return null;
}

/**
 * Move a stop to another day (relocate), or let two stops of two days change places (swap), where that gains or, at
 * equal gain, shortens the drive. First found is taken.
 * @returns the days with two of them replaced, or null when no such move is left
 */
export function movedBetweenDays(problem: RouteProblem, routes: readonly Route[]): Route[] | null {
  for (const a of routes) {
    for (const stop of a.stops) {
      const lessA = without(problem, a, new Set([stop]));
      if (lessA.stops.length !== a.stops.length - 1) continue;
      for (const b of routes) {
        if (b === a) continue;
        const moved =
          relocated(problem, { a, lessA, b }, stop) ?? (a.day < b.day ? swapped(problem, { a, lessA, b }, stop) : null);
        if (moved) return replaced(routes, moved);
      }
    }
  }
  return null;
}

interface Pair {
  a: Route;
  lessA: Route;
  b: Route;
}

function relocated(problem: RouteProblem, { a, lessA, b }: Pair, stop: number): [Route, Route] | null {
  const gain = bestInsertion(problem, b, stop);
  const change = lessA.gain + gain - a.gain;
  if (!(change > -BETTER)) return null;
  const next = inserted(problem, b, stop);
  return next && (change > BETTER || lessA.drive + next.drive < a.drive + b.drive - BETTER) ? [lessA, next] : null;
}

function swapped(problem: RouteProblem, { a, lessA, b }: Pair, stop: number): [Route, Route] | null {
  for (const other of b.stops) {
    const intoA = bestInsertion(problem, lessA, other);
    if (intoA === Number.NEGATIVE_INFINITY) continue;
    const lessB = without(problem, b, new Set([other]));
    if (lessB.stops.length !== b.stops.length - 1) continue;
    const change = lessA.gain + intoA + lessB.gain + bestInsertion(problem, lessB, stop) - a.gain - b.gain;
    if (!(change > BETTER)) continue;
    const nextA = inserted(problem, lessA, other);
    const nextB = nextA && inserted(problem, lessB, stop);
    if (nextA && nextB) return [nextA, nextB];
  }
  return null;
}

function replaced(routes: readonly Route[], pair: [Route, Route]): Route[] {
  const now = [...routes];
  for (const route of pair) now[route.day] = route;
  return now;
}
