/** Hours in which a service may START, minutes on the instance's clock, both ends included. */
export interface StartWindow {
  from: number;
  to: number;
}

/** One crew on one day: where and when it sets out, and by when it must be back. Minutes on the instance's clock. */
export interface CrewDay {
  key: string;
  startPlace: number;
  endPlace: number;
  from: number;
  to: number;
  /** Money for a minute of driving or work, and for a km of driving; 0 where not given. */
  costPerMinute?: number;
  costPerKm?: number;
}

/** What one crew-day gains by a stop, and when it may start there. */
export interface Offer {
  value: number;
  /** Sorted, apart from one another. */
  windows: readonly StartWindow[];
}

/**
 * How a stop outranks others: 2 before 1 before 0, whatever the value.
 * One stop more of a higher tier is worth any number below it.
 */
export type Tier = 0 | 1 | 2;

export interface RouteStop {
  key: string;
  place: number;
  serviceMinutes: number;
  tier: Tier;
  /** By crew-day; null where this crew-day may not serve it. */
  offers: readonly (Offer | null)[];
}

/** Who may serve what, when, and how long the road takes. */
export interface RouteInstance {
  crewDays: readonly CrewDay[];
  stops: readonly RouteStop[];
  /** Minutes from a place to a place, finite and at least 0. */
  travel: readonly (readonly number[])[];
  /** Km from a place to a place; needed where a crew-day has a cost per km. */
  km?: readonly (readonly number[])[];
  /** Whether no way through another place is shorter, in minutes and km, as the crow flies. Absent: looked for. */
  metric?: boolean;
}

/** Stops in order by crew-day, as indices into the instance. */
export type Routes = readonly (readonly number[])[];

/** Slack for rounding in sums of minutes. */
export const MINUTE_SLACK = 1e-7;

/**
 * Entries a travel table lacks: `[from, to]` pairs that are missing, not finite or negative. Empty when complete.
 *
 * @param size number of places
 */
export function travelHoles(
  table: readonly (readonly (number | null | undefined)[])[],
  size: number,
): [number, number][] {
  const holes: [number, number][] = [];
  for (let from = 0; from < size; from++) {
    for (let to = 0; to < size; to++) {
      const minutes = table[from]?.[to];
      if (typeof minutes !== "number" || !Number.isFinite(minutes) || minutes < 0) holes.push([from, to]);
    }
  }
  return holes;
}

/** Earliest start at or after `at` in the windows, or null when all have passed. */
export function earliestStart(windows: readonly StartWindow[], at: number): number | null {
  for (const window of windows) if (at <= window.to + MINUTE_SLACK) return Math.max(at, window.from);
  return null;
}

/** Latest start at or before `by` in the windows, or null when none has opened. */
export function latestStart(windows: readonly StartWindow[], by: number): number | null {
  for (let index = windows.length - 1; index >= 0; index--) {
    const window = windows[index] as StartWindow;
    if (by >= window.from - MINUTE_SLACK) return Math.min(by, window.to);
  }
  return null;
}

/**
 * Refuses an instance that the planner cannot read.
 * @throws RangeError naming the first thing wrong: a hole in the travel table, offers that do not match the crew-days,
 * a service or a value that is not a finite number at least 0, windows out of order
 */
export function requireInstance(instance: RouteInstance): void {
  const places = new Set<number>();
  for (const day of instance.crewDays) places.add(day.startPlace).add(day.endPlace);
  for (const stop of instance.stops) places.add(stop.place);
  const size = Math.max(-1, ...places) + 1;
  const [hole] = travelHoles(instance.travel, size);
  if (hole) throw new RangeError(`Travel from place ${hole[0]} to place ${hole[1]} is missing`);
  for (const { key, costPerKm = 0, costPerMinute = 0 } of instance.crewDays) {
    if (![costPerKm, costPerMinute].every((cost) => cost >= 0 && cost < Infinity))
      throw new RangeError(`Crew-day ${key} has a cost that is no number at least 0`);
    const [gap] = costPerKm > 0 ? travelHoles(instance.km ?? [], size) : [];
    if (gap) throw new RangeError(`Km from place ${gap[0]} to place ${gap[1]} are missing`);
  }
  for (const stop of instance.stops) {
    if (stop.offers.length !== instance.crewDays.length)
      throw new RangeError(`Stop ${stop.key} lacks an offer per crew-day`);
    if (!(stop.serviceMinutes >= 0 && stop.serviceMinutes < Infinity))
      throw new RangeError(`Stop ${stop.key} has no service time`);
    for (const offer of stop.offers) {
      if (!offer) continue;
      if (!(offer.value >= 0 && offer.value < Infinity)) throw new RangeError(`Stop ${stop.key} has a value below 0`);
      let last = -Infinity;
      for (const window of offer.windows) {
        if (!(window.from > last && window.to >= window.from))
          throw new RangeError(`Stop ${stop.key} has windows out of order`);
        last = window.to;
      }
    }
  }
}

/** Money that driving from a place to a place costs a crew-day. */
export function legCost(instance: RouteInstance, crewDay: CrewDay, from: number, to: number): number {
  const minutes = crewDay.costPerMinute ? crewDay.costPerMinute * (instance.travel[from]?.[to] as number) : 0;
  return minutes + (crewDay.costPerKm ? crewDay.costPerKm * (instance.km?.[from]?.[to] as number) : 0);
}

/** Money that a route costs: driving and work. An empty route is not driven. */
export function routeCost(instance: RouteInstance, day: number, route: readonly number[]): number {
  const crewDay = instance.crewDays[day] as CrewDay;
  if (route.length === 0 || !(crewDay.costPerMinute || crewDay.costPerKm)) return 0;
  let total = 0;
  let here = crewDay.startPlace;
  for (const index of route) {
    const stop = instance.stops[index] as RouteStop;
    total += legCost(instance, crewDay, here, stop.place) + (crewDay.costPerMinute ?? 0) * stop.serviceMinutes;
    here = stop.place;
  }
  return total + legCost(instance, crewDay, here, crewDay.endPlace);
}

/** Values of the stops on a route less what it costs; the tiers are not in it. */
export function routeValue(instance: RouteInstance, day: number, route: readonly number[]): number {
  const worth = route.reduce((total, index) => total + (instance.stops[index]?.offers[day]?.value ?? 0), 0);
  return worth - routeCost(instance, day, route);
}

/** Sum of what the routes are worth. */
export function routesValue(instance: RouteInstance, routes: Routes): number {
  return routes.reduce((total, route, day) => total + routeValue(instance, day, route), 0);
}
