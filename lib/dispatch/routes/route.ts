import { departure, latestArrival, type RouteProblem, TIME_SLACK } from "./route-problem.ts";

/** The stops of one day in order, with what is needed to put another in without driving the day again. Never changed. */
export interface Route {
  day: number;
  stops: readonly number[];
  /** Profit less cost of the drives. */
  gain: number;
  /** Minutes of driving. */
  drive: number;
  /** `leave[i]`: when the crew is free to drive to stop i; the last: to base. */
  leave: Float64Array;
  /** `due[i]`: the latest arrival at stop i that keeps all after it; the last: at base. */
  due: Float64Array;
  /** What is known of putting stops in; null: nothing asked yet. */
  insertions: Insertions | null;
}

/** By stop. */
interface Insertions {
  /** Gain of the best insertion; NaN: not asked, -Infinity: none. */
  gain: Float64Array;
  /** Its minutes of driving and work. */
  minutes: Float64Array;
  at: Int32Array;
}

/** The route of a day through these stops in this order; null when a rule would be broken. */
export function makeRoute(problem: RouteProblem, day: number, stops: readonly number[]): Route | null {
  const { nodes, minutes, service, spans, days, profit } = problem;
  const cost = problem.arcCost[day] as Float64Array;
  const n = stops.length;
  const leave = new Float64Array(n + 1);
  const due = new Float64Array(n + 1);
  let node = problem.startNode[day] as number;
  let time = problem.from[day] as number;
  let gain = 0;
  let drive = 0;
  leave[0] = time;
  for (let i = 0; i < n; i++) {
    const stop = stops[i] as number;
    const leg = node * nodes + stop;
    time = departure(
      spans[stop * days + day] as readonly number[],
      service[stop] as number,
      time + (minutes[leg] as number),
    );
    if (time === Number.POSITIVE_INFINITY) return null;
    gain += (profit[stop * days + day] as number) - (cost[leg] as number);
    drive += minutes[leg] as number;
    leave[i + 1] = time;
    node = stop;
  }
  const end = problem.endNode[day] as number;
  const home = node * nodes + end;
  if (n > 0) {
    gain -= cost[home] as number;
    drive += minutes[home] as number;
    if (!(time + (minutes[home] as number) <= (problem.to[day] as number) + TIME_SLACK)) return null;
  }
  due[n] = problem.to[day] as number;
  for (let i = n - 1, next = end; i >= 0; i--) {
    const stop = stops[i] as number;
    due[i] = latestArrival(
      spans[stop * days + day] as readonly number[],
      service[stop] as number,
      (due[i + 1] as number) - (minutes[stop * nodes + next] as number),
    );
    next = stop;
  }
  return { day, stops, gain, drive, leave, due, insertions: null };
}

/** What the best place for a stop in a route gains; -Infinity: there is none. Costs least, then takes least time. */
export function bestInsertion(problem: RouteProblem, route: Route, stop: number): number {
  route.insertions ??= {
    gain: new Float64Array(problem.stops).fill(Number.NaN),
    minutes: new Float64Array(problem.stops),
    at: new Int32Array(problem.stops),
  };
  const memory = route.insertions;
  const known = memory.gain[stop] as number;
  if (!Number.isNaN(known)) return known;
  const { nodes, minutes, days } = problem;
  const { day, stops } = route;
  const spans = problem.spans[stop * days + day] as readonly number[];
  let bestGain = Number.NEGATIVE_INFINITY;
  if (spans.length > 0) {
    const cost = problem.arcCost[day] as Float64Array;
    const work = problem.service[stop] as number;
    const profit = problem.profit[stop * days + day] as number;
    let bestMinutes = Number.POSITIVE_INFINITY;
    let before = problem.startNode[day] as number;
    for (let at = 0; at <= stops.length; at++) {
      const after = at < stops.length ? (stops[at] as number) : (problem.endNode[day] as number);
      const there = before * nodes + stop;
      const back = stop * nodes + after;
      const direct = before * nodes + after;
      before = after;
      const done = departure(spans, work, (route.leave[at] as number) + (minutes[there] as number));
      if (!(done + (minutes[back] as number) <= (route.due[at] as number) + TIME_SLACK)) continue;
      const spared = stops.length > 0;
      const gain = profit - (cost[there] as number) - (cost[back] as number) + (spared ? (cost[direct] as number) : 0);
      const added =
        work + (minutes[there] as number) + (minutes[back] as number) - (spared ? (minutes[direct] as number) : 0);
      if (gain > bestGain + 1e-9 || (gain > bestGain - 1e-9 && added < bestMinutes)) {
        bestGain = gain;
        bestMinutes = added;
        memory.at[stop] = at;
      }
    }
    memory.minutes[stop] = bestMinutes;
  }
  memory.gain[stop] = bestGain;
  return bestGain;
}

/** Minutes of driving and work that the best insertion adds. */
export function insertionMinutes(route: Route, stop: number): number {
  return route.insertions?.minutes[stop] ?? Number.POSITIVE_INFINITY;
}

/** The route with a stop put in at its best place; null when it has none. */
export function inserted(problem: RouteProblem, route: Route, stop: number): Route | null {
  if (bestInsertion(problem, route, stop) === Number.NEGATIVE_INFINITY) return null;
  const at = route.insertions?.at[stop] ?? 0;
  const next = makeRoute(problem, route.day, [...route.stops.slice(0, at), stop, ...route.stops.slice(at)]);
  // The passes over the route agree on what fits but for the last bits of a sum: do not offer it again.
  if (!next && route.insertions) route.insertions.gain[stop] = Number.NEGATIVE_INFINITY;
  return next;
}

/** The route without some stops. */
export function without(problem: RouteProblem, route: Route, gone: ReadonlySet<number>): Route {
  const kept = route.stops.filter((stop) => !gone.has(stop));
  if (kept.length === route.stops.length) return route;
  // Drives need not obey the triangle inequality (a user's own times): then the day is emptied rather than broken.
  return makeRoute(problem, route.day, kept) ?? (makeRoute(problem, route.day, []) as Route);
}
