import { seededRng } from "../../core/random.ts";
import { type CompiledInstance, compileInstance } from "./compile-instance.ts";
import { countingProblem, hazardsFirst, heldBy } from "./hazards-first.ts";
import type { PlanInstance, PlannedRoute, PlannedStop } from "./plan-instance.ts";
import { makeRoute, type Route } from "./route.ts";
import type { RouteProblem } from "./route-problem.ts";
import { emptyDays, search } from "./search.ts";
import type { UnservedVisit } from "./unserved.ts";
import { whyUnserved } from "./why-unserved.ts";

export interface Plan {
  routes: PlannedRoute[];
  unserved: UnservedVisit[];
  /** Loss avoided less cost of driving and of the hours on site, account currency. */
  objective: number;
  /** No plan that makes the same make-safe and promised visits can reach more; null: not proven. */
  bound: number | null;
}

export interface PlanEffort {
  /** Rounds of search. */
  effort: number;
  seed: string;
  stopped?: () => boolean;
}

/** Rounds for a tier that is to be served whatever it costs, as a share of the effort. */
const TIER_SHARE = 0.2;

/**
 * Plan crew-days: first as many make-safe visits as can be made, as soon as they can; then as many promised ones as
 * fit beside them; then whatever adds most value for its cost. What an earlier step serves stays served, and a
 * make-safe visit begins no later than in the first step, so no money outranks either.
 *
 * @returns routes by crew-day, and a reason for each visit that has no place
 * @shape deterministic: the same instance, seed and effort give the same plan
 */
export function makePlan(instance: PlanInstance, how: PlanEffort): Plan {
  const { visits, crewDays } = instance;
  if (crewDays.length === 0) {
    const unserved = visits.map((_, visit) => ({
      visit,
      code: "no_crew" as const,
      why: "No crew works on these days.",
    }));
    return { routes: [], unserved, objective: 0, bound: null };
  }
  const compiled = compileInstance(instance);
  const of = (tier: string) => visits.flatMap((visit, i) => (visit.tier === tier ? [i] : []));
  const tierSearch = (name: string) => ({
    effort: Math.ceil(how.effort * TIER_SHARE),
    rng: seededRng(`${how.seed}/${name}`),
    ...(how.stopped ? { stopped: how.stopped } : {}),
  });
  const hazards = hazardsFirst(compiled.problem, instance, of("make_safe"), tierSearch("make_safe"));
  const held = heldBy(compiled.problem, hazards);
  const promised = keepPromises(held, instance, { hazards, promises: of("promised") }, tierSearch("promised"));
  const kept = new Set(promised.flatMap((route) => route.stops));
  const candidates = visits.flatMap((visit, i) => (visit.tier === "open" || kept.has(i) ? [i] : []));
  const start = promised.map((route) => again(held, route));
  const found = search(held, { ...tierSearch("open"), effort: how.effort, candidates, kept, start });
  const served = new Set(found.routes.flatMap((route) => route.stops));
  return {
    routes: found.routes.filter((route) => route.stops.length > 0).map((route) => planned(instance, compiled, route)),
    unserved: visits.flatMap((_, visit) =>
      served.has(visit) ? [] : [{ visit, ...whyUnserved(instance, compiled.problem, visit) }],
    ),
    objective: found.gain,
    bound: null,
  };
}

function keepPromises(
  held: RouteProblem,
  instance: PlanInstance,
  { hazards, promises }: { hazards: readonly Route[]; promises: readonly number[] },
  how: Parameters<typeof hazardsFirst>[3],
): readonly Route[] {
  if (promises.length === 0) return hazards;
  const counting = countingProblem(held, instance, false);
  const kept = new Set(hazards.flatMap((route) => route.stops));
  const start = hazards.map((route) => again(counting, route));
  return search(counting, { ...how, candidates: [...kept, ...promises], kept, start }).routes;
}

/** The same stops in another problem that allows them. */
function again(problem: RouteProblem, route: Route): Route {
  return makeRoute(problem, route.day, route.stops) ?? (emptyDays(problem)[route.day] as Route);
}

/** A route with its clock times: the crew leaves as late as it can and still begin the first visit as early. */
function planned(instance: PlanInstance, { problem, origin }: CompiledInstance, route: Route): PlannedRoute {
  const { legs } = instance;
  const base = problem.startNode[route.day] as number;
  const leg = (from: number, to: number) => from * legs.nodes + to;
  const instant = (minutes: number) => origin + minutes * 60_000;
  let node = base;
  let free = problem.from[route.day] as number;
  let leave = free;
  const stops: PlannedStop[] = [];
  for (const [i, visit] of route.stops.entries()) {
    const drive = legs.minutes[leg(node, visit)] as number;
    const depart = route.leave[i + 1] as number;
    const start = depart - (problem.service[visit] as number);
    const arrive = i === 0 ? start : Math.min(start, free + drive);
    if (i === 0) leave = start - drive;
    stops.push({
      ...{ visit, arrive: instant(arrive), start: instant(start), depart: instant(depart) },
      ...{ driveMinutes: drive, driveKm: legs.km[leg(node, visit)] as number },
    });
    free = depart;
    node = visit;
  }
  const home = leg(node, base);
  return {
    ...{ crewDay: route.day, leave: instant(leave), return: instant(free + (legs.minutes[home] as number)) },
    ...{ returnKm: legs.km[home] as number, returnMinutes: legs.minutes[home] as number, stops },
  };
}
