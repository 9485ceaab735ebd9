import { integerBelow, type Rng } from "../../core/random.ts";
import { driveOf, dropLosses, gainOf, movedBetweenDays, swapIn } from "./improve-plan.ts";
import { improveRoute } from "./improve-route.ts";
import { refill } from "./refill.ts";
import { removal } from "./removal.ts";
import { makeRoute, type Route } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";

export interface SearchOptions {
  /** Rounds of taking out and putting in. */
  effort: number;
  rng: Rng;
  /** Stops to try; those of `start` that are not among them stay if they are kept, else they may go. */
  candidates: readonly number[];
  /** Stops that are served and stay served. */
  kept: ReadonlySet<number>;
  /** Where to begin, index = day; default: nothing served. */
  start?: readonly Route[];
  /** Asked before each round; true ends the search with the best so far. */
  stopped?: () => boolean;
}

export interface Found {
  /** Index = day. */
  routes: Route[];
  gain: number;
  rounds: number;
}

/** Days with nothing served. */
export function emptyDays(problem: RouteProblem): Route[] {
  return Array.from({ length: problem.days }, (_, day) => makeRoute(problem, day, []) as Route);
}

/** Share of the gain by which a worse plan may be taken on, at the beginning and at the end. */
const HEAT = { first: 0.03, last: 0.002 };
/** Rounds without a better plan after which the search goes back to the best one. */
const PATIENCE = 400;
const EXPONENTS = [0.7, 1, 1.4] as const;

/**
 * Which stops to serve on which day in which order, for the most profit less cost of driving: insertion by gain for
 * minutes, then rounds of large-neighbourhood search (take some stops out, put stops in, improve, accept by simulated
 * annealing). The same problem, options and stream of numbers give the same plan.
 *
 * @shape a round is O(stops waiting x days) look-ups
 * @source large neighbourhood search: Shaw 1998; Ropke and Pisinger 2006, from memory
 */
export function search(problem: RouteProblem, options: SearchOptions): Found {
  const { rng, kept, effort } = options;
  const begin = options.start ?? emptyDays(problem);
  const served = new Set(begin.flatMap((route) => route.stops));
  const mustHave = new Set([...kept].filter((stop) => served.has(stop)));
  const rule = { first: mustHave, exponent: 1, taste: null, leastGain: 0 };
  const filled = refill(problem, begin, { ...rule, open: options.candidates.filter((stop) => !served.has(stop)) });
  let best = settle(problem, filled, begin, options.candidates, mustHave);
  let now = best;
  let stale = 0;
  let round = 0;
  for (; round < effort && !options.stopped?.(); round++) {
    const next = nextPlan(problem, now, options, mustHave);
    if (next === null) continue;
    const heat = HEAT.first * (HEAT.last / HEAT.first) ** (round / effort) * Math.abs(gainOf(best));
    if (isBetter(next, best)) {
      best = settle(problem, next, now, options.candidates, mustHave);
      now = best;
      stale = 0;
      continue;
    }
    if (gainOf(next) >= gainOf(now) + heat * Math.log(1 - rng())) now = next;
    if (++stale >= PATIENCE) {
      now = best;
      stale = 0;
    }
  }
  return { routes: best, gain: gainOf(best), rounds: round };
}

function nextPlan(
  problem: RouteProblem,
  now: readonly Route[],
  options: SearchOptions,
  kept: ReadonlySet<number>,
): Route[] | null {
  const { rng } = options;
  const emptied = removal(problem, now, rng);
  const served = new Set(emptied.flatMap((route) => route.stops));
  const strength = rng() < 0.5 ? 0 : rng() * 1.6;
  // Two far stops may pay together where neither does alone: now and then a loss is let in, and dropped if it stays one.
  const leastGain = rng() < 0.15 ? (-Math.abs(gainOf(now)) / (served.size + 1)) * rng() : 0;
  const filled = refill(problem, emptied, {
    open: options.candidates.filter((stop) => !served.has(stop)),
    first: kept,
    exponent: EXPONENTS[integerBelow(rng, EXPONENTS.length)] as number,
    taste: strength > 0 ? () => 1 + strength * (rng() - 0.5) : null,
    leastGain,
  });
  const next = filled.map((route) => (now[route.day] === route ? route : tidy(problem, route, kept)));
  const has = new Set(next.flatMap((route) => route.stops));
  for (const stop of kept) if (!has.has(stop)) return null;
  return next;
}

const tidy = (problem: RouteProblem, route: Route, kept: ReadonlySet<number>) =>
  dropLosses(problem, improveRoute(problem, route), kept);

function isBetter(a: readonly Route[], b: readonly Route[]): boolean {
  const change = gainOf(a) - gainOf(b);
  return change > 1e-7 || (change > -1e-9 && driveOf(a) < driveOf(b) - 1e-7);
}

/** All the local search there is, on a plan worth it: each pass begins again where it found something. */
function settle(
  problem: RouteProblem,
  plan: readonly Route[],
  before: readonly Route[],
  candidates: readonly number[],
  kept: ReadonlySet<number>,
): Route[] {
  let now = plan.map((route) => (before[route.day] === route ? route : tidy(problem, route, kept)));
  // Each step gains, so this ends; the limit guards against sums that go round in their last bits.
  for (let step = 0; step < 1000; step++) {
    const moved = movedBetweenDays(problem, now);
    if (moved) now = moved.map((route) => improveRoute(problem, route));
    const served = new Set(now.flatMap((route) => route.stops));
    const waiting = candidates.filter((stop) => !served.has(stop));
    const filled = refill(problem, now, { open: waiting, first: new Set(), exponent: 1, taste: null, leastGain: 0 });
    if (filled.some((route, day) => route !== now[day])) {
      now = filled.map((route, day) => (route === now[day] ? route : improveRoute(problem, route)));
      continue;
    }
    const swap = now.map((route) => swapIn(problem, route, waiting, kept)).find((route) => route !== null);
    if (swap) now[swap.day] = swap;
    else if (!moved) return now;
  }
  return now;
}
