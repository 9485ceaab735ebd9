import { makeRoute, type Route } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";

/** Longest run of stops that is moved as one. */
const RUN = 3;

/**
 * Drive the same stops of a day more cheaply: turn a part around (2-opt), or move up to three stops on (or-opt), until
 * neither helps. The first improvement found is taken.
 */
export function improveRoute(problem: RouteProblem, route: Route): Route {
  let now = route;
  for (;;) {
    const next = turnedAround(problem, now) ?? movedOn(problem, now);
    if (!next) return now;
    now = next;
  }
}

/** Cost of a drive; minutes decide between equal costs. */
function weigher(problem: RouteProblem, route: Route) {
  const cost = problem.arcCost[route.day] as Float64Array;
  const { minutes, nodes } = problem;
  const path = [problem.startNode[route.day] as number, ...route.stops, problem.endNode[route.day] as number];
  const between = (a: number, b: number) => (cost[a * nodes + b] as number) + 1e-6 * (minutes[a * nodes + b] as number);
  /** Between places i and j of the path. */
  const weight = (i: number, j: number) => between(path[i] as number, path[j] as number);
  return { path, weight };
}

const SHORTER = -1e-9;

function turnedAround(problem: RouteProblem, route: Route): Route | null {
  const { path, weight } = weigher(problem, route);
  const last = path.length - 2;
  for (let i = 1; i < last; i++) {
    let turn = 0;
    for (let j = i + 1; j <= last; j++) {
      turn += weight(j, j - 1) - weight(j - 1, j);
      const change = turn + weight(i - 1, j) + weight(i, j + 1) - weight(i - 1, i) - weight(j, j + 1);
      if (!(change < SHORTER)) continue;
      const stops = [...path.slice(1, i), ...path.slice(i, j + 1).reverse(), ...path.slice(j + 1, -1)];
      const next = makeRoute(problem, route.day, stops);
      if (next) return next;
    }
  }
  return null;
}

function movedOn(problem: RouteProblem, route: Route): Route | null {
  const { path, weight } = weigher(problem, route);
  const last = path.length - 2;
  for (let i = 1; i <= last; i++) {
    for (let j = i; j <= Math.min(last, i + RUN - 1); j++) {
      const spared = weight(i - 1, i) + weight(j, j + 1) - weight(i - 1, j + 1);
      for (let at = 0; at <= last; at++) {
        if (at >= i - 1 && at <= j) continue;
        const ahead = weight(at, i) + weight(j, at + 1) - weight(at, at + 1) - spared;
        if (!(ahead < SHORTER)) continue;
        const run = path.slice(i, j + 1);
        const rest = [...path.slice(1, i), ...path.slice(j + 1, -1)];
        const to = at < i ? at : at - run.length;
        const next = makeRoute(problem, route.day, [...rest.slice(0, to), ...run, ...rest.slice(to)]);
        if (next) return next;
      }
    }
  }
  return null;
}
