import {
  type CrewDay,
  daysBetween,
  firstDay,
  isPair,
  type PlanInstance,
  type PlanVisit,
  type Span,
  valueOn,
} from "./plan-instance.ts";
import type { RouteProblem } from "./route-problem.ts";
import { intersectSpans } from "./spans.ts";

/** A problem with the instant that its minutes count from. */
export interface CompiledInstance {
  problem: RouteProblem;
  origin: number;
}

/** Whether a crew may go at all, whatever the hour: crew named, skills, two people where needed. */
export function mayGo(visit: PlanVisit, crew: CrewDay): boolean {
  if (visit.crewId !== null && visit.crewId !== crew.crewId) return false;
  if (visit.needsPair && !isPair(crew)) return false;
  return visit.skills.every((skill) => crew.skills.includes(skill));
}

/** Spans of a shift in one of which all of the work must lie. */
export function openSpans(visit: PlanVisit, shift: Span): Span[] {
  let spans: Span[] = [shift];
  for (const { spans: open } of visit.open) spans = intersectSpans(spans, open);
  const promise = visit.startWithin;
  if (!promise) return spans;
  return intersectSpans(spans, [{ from: promise.from, to: promise.to + visit.serviceMinutes * 60_000 }]);
}

/** The instance as the search sees it. Profit is the value on that day less the crew's hours on site. */
export function compileInstance(instance: PlanInstance): CompiledInstance {
  const { crewDays, visits, legs } = instance;
  const origin = Math.min(...crewDays.map((crew) => crew.shift.from));
  const minute = (at: number) => (at - origin) / 60_000;
  const first = firstDay(instance);
  const days = crewDays.length;
  const profit = new Float64Array(visits.length * days);
  const spans: number[][] = [];
  for (const [i, visit] of visits.entries()) {
    for (const [d, crew] of crewDays.entries()) {
      const hours = visit.serviceMinutes / 60;
      profit[i * days + d] = valueOn(visit, daysBetween(first, crew.day)) - hours * crew.hourlyCost;
      const open = mayGo(visit, crew) ? openSpans(visit, crew.shift) : [];
      spans.push(open.flatMap((span) => [minute(span.from), minute(span.to)]));
    }
  }
  const base = Int32Array.from(crewDays, (_, d) => visits.length + d);
  const costs = new Map<string, Float64Array>();
  const problem: RouteProblem = {
    ...{ stops: visits.length, days, nodes: legs.nodes, minutes: legs.minutes, startNode: base, endNode: base },
    arcCost: crewDays.map((crew) => {
      const key = `${crew.hourlyCost} ${crew.costPerKm}`;
      const cost =
        costs.get(key) ??
        legs.minutes.map((m, i) => (m / 60) * crew.hourlyCost + (legs.km[i] as number) * crew.costPerKm);
      costs.set(key, cost);
      return cost;
    }),
    from: Float64Array.from(crewDays, (crew) => minute(crew.shift.from)),
    to: Float64Array.from(crewDays, (crew) => minute(crew.shift.to)),
    service: Float64Array.from(visits, (visit) => visit.serviceMinutes),
    profit,
    spans,
  };
  return { problem, origin };
}
