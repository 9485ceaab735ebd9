import {
  earliestStart,
  latestStart,
  legCost,
  MINUTE_SLACK,
  type RouteInstance,
  type RouteStop,
  routeCost,
} from "./route-instance.ts";

/** A route with what an insertion needs to be judged at once. */
export interface TimedRoute {
  stops: number[];
  /** Minute at which each stop is left; index 0 is the base, so stop k is at k + 1. */
  departs: number[];
  /** Latest arrival at each stop that keeps the rest; the last is the base at the end of the shift. */
  latest: number[];
  travel: number;
  /** Money for driving and work. */
  cost: number;
}

/** Times of a route, or null when it cannot be driven. */
export function timeRoute(instance: RouteInstance, day: number, stops: number[]): TimedRoute | null {
  const crewDay = instance.crewDays[day] as (typeof instance.crewDays)[number];
  const { travel } = instance;
  const departs = [crewDay.from];
  let here = crewDay.startPlace;
  let clock = crewDay.from;
  let driven = 0;
  for (const index of stops) {
    const stop = instance.stops[index] as RouteStop;
    const offer = stop.offers[day];
    if (!offer) return null;
    const leg = (travel[here] as readonly number[])[stop.place] as number;
    const start = earliestStart(offer.windows, clock + leg);
    if (start === null) return null;
    driven += leg;
    clock = start + stop.serviceMinutes;
    departs.push(clock);
    here = stop.place;
  }
  const home = (travel[here] as readonly number[])[crewDay.endPlace] as number;
  if (clock + home > crewDay.to + MINUTE_SLACK) return null;
  const latest = new Array<number>(stops.length + 1);
  latest[stops.length] = crewDay.to;
  let next = crewDay.endPlace;
  for (let k = stops.length - 1; k >= 0; k--) {
    const stop = instance.stops[stops[k] as number] as RouteStop;
    const by =
      (latest[k + 1] as number) - ((travel[stop.place] as readonly number[])[next] as number) - stop.serviceMinutes;
    const start = latestStart((stop.offers[day] as NonNullable<RouteStop["offers"][number]>).windows, by);
    if (start === null) return null;
    latest[k] = start;
    next = stop.place;
  }
  return { stops, departs, latest, travel: driven + home, cost: routeCost(instance, day, stops) };
}

/** Cheapest place for a stop in a route: extra minutes at the following arrival; null when it fits nowhere. */
export function bestInsertion(
  instance: RouteInstance,
  day: number,
  route: TimedRoute,
  index: number,
): { at: number; delay: number } | null {
  const stop = instance.stops[index] as RouteStop;
  const offer = stop.offers[day];
  if (!offer) return null;
  const crewDay = instance.crewDays[day] as (typeof instance.crewDays)[number];
  const { travel } = instance;
  const fromStop = travel[stop.place] as readonly number[];
  let best: { at: number; delay: number } | null = null;
  let here = crewDay.startPlace;
  for (let at = 0; at <= route.stops.length; at++) {
    const nextStop = at < route.stops.length ? (instance.stops[route.stops[at] as number] as RouteStop) : null;
    const next = nextStop ? nextStop.place : crewDay.endPlace;
    const row = travel[here] as readonly number[];
    const departs = route.departs[at] as number;
    const arrive = departs + (row[stop.place] as number);
    const start = earliestStart(offer.windows, arrive);
    if (start === null) break;
    const onward = start + stop.serviceMinutes + (fromStop[next] as number);
    if (onward <= (route.latest[at] as number) + MINUTE_SLACK) {
      const delay = Math.max(0, onward - departs - (row[next] as number));
      if (!best || delay < best.delay) best = { at, delay };
    }
    here = next;
  }
  return best;
}

/** Money that a stop adds to a route at a position: the detour and the work. */
export function insertionCost(
  instance: RouteInstance,
  day: number,
  route: TimedRoute,
  index: number,
  at: number,
): number {
  const crewDay = instance.crewDays[day] as (typeof instance.crewDays)[number];
  if (!(crewDay.costPerMinute || crewDay.costPerKm)) return 0;
  const stop = instance.stops[index] as RouteStop;
  const placeOf = (k: number, end: number) => (k < 0 || k >= route.stops.length ? end : stopPlace(instance, route, k));
  const before = placeOf(at - 1, crewDay.startPlace);
  const after = placeOf(at, crewDay.endPlace);
  const detour = legCost(instance, crewDay, before, stop.place) + legCost(instance, crewDay, stop.place, after);
  const spared = route.stops.length > 0 ? legCost(instance, crewDay, before, after) : 0;
  return detour - spared + (crewDay.costPerMinute ?? 0) * stop.serviceMinutes;
}

const stopPlace = (instance: RouteInstance, route: TimedRoute, k: number) =>
  (instance.stops[route.stops[k] as number] as RouteStop).place;
