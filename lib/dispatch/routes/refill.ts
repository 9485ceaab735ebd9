import { bestInsertion, inserted, insertionMinutes, type Route } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";

export interface RefillRule {
  /** Stops to try. */
  open: readonly number[];
  /** Of these the ones that go in first, whatever they gain. */
  first: ReadonlySet<number>;
  /** How much gain counts against minutes. */
  exponent: number;
  /** By stop: a factor on its appeal; null: none. */
  taste: ((stop: number) => number) | null;
  /** The least gain with which a stop goes in. */
  leastGain: number;
}

/**
 * Put stops into days, each time the one with most gain for the minutes it takes, until none fits or gains.
 * @returns new routes, index = day; routes that took nothing are the same objects
 */
export function refill(problem: RouteProblem, routes: readonly Route[], rule: RefillRule): Route[] {
  const now = [...routes];
  const open = [...rule.open];
  const score = new Float64Array(problem.stops).fill(Number.NEGATIVE_INFINITY);
  const where = new Int32Array(problem.stops);
  const tastes = new Map(rule.taste ? open.map((stop) => [stop, rule.taste?.(stop) ?? 1]) : []);
  const appeal = (stop: number, route: Route) => appealOf(problem, route, stop, rule) * (tastes.get(stop) ?? 1);
  const rank = (stop: number) => {
    score[stop] = Number.NEGATIVE_INFINITY;
    for (const route of now) consider(stop, route);
  };
  const consider = (stop: number, route: Route) => {
    const value = appeal(stop, route);
    if (value > (score[stop] as number)) {
      score[stop] = value;
      where[stop] = route.day;
    }
  };
  for (const stop of open) rank(stop);
  while (open.length > 0) {
    let best = 0;
    for (let i = 1; i < open.length; i++)
      if ((score[open[i] as number] as number) > (score[open[best] as number] as number)) best = i;
    const stop = open[best] as number;
    if (score[stop] === Number.NEGATIVE_INFINITY) break;
    const day = where[stop] as number;
    const next = inserted(problem, now[day] as Route, stop);
    if (!next) {
      rank(stop);
      continue;
    }
    now[day] = next;
    open[best] = open[open.length - 1] as number;
    open.pop();
    for (const other of open) {
      if (where[other] === day) rank(other);
      else consider(other, next);
    }
  }
  return now;
}

/** Added to the appeal of what must go in first: above any gain for minutes. */
const FIRST = 1e15;

function appealOf(problem: RouteProblem, route: Route, stop: number, rule: RefillRule): number {
  const gain = bestInsertion(problem, route, stop);
  if (gain === Number.NEGATIVE_INFINITY) return gain;
  const length = (problem.to[route.day] as number) - (problem.from[route.day] as number);
  const minutes = insertionMinutes(route, stop) + 0.01 * length;
  const forMinutes = gain > 0 ? gain ** rule.exponent / minutes : gain / minutes;
  if (rule.first.has(stop)) return FIRST + forMinutes;
  return gain > rule.leastGain ? forMinutes : Number.NEGATIVE_INFINITY;
}
