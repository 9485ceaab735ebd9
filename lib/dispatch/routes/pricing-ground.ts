import { MINUTE_SLACK, type RouteInstance, type RouteStop, type StartWindow } from "./route-instance.ts";

/** What pricing asks of a crew-day, in flat arrays by position. Values are not in it. */
export interface PricingGround {
  from: number;
  to: number;
  count: number;
  /** Stop of the instance by position. */
  stops: Int32Array;
  service: Float64Array;
  /** First and last minute at which work may begin. */
  open: Float64Array;
  close: Float64Array;
  /** All the windows of a stop that has several; undefined: open to close. */
  windows: (readonly StartWindow[] | undefined)[];
  /** Place of a stop, and minutes from place to place, row by row of `size`; the same for all crew-days. */
  places: Int32Array;
  minutes: Float64Array;
  km: Float64Array | null;
  size: number;
  costPerMinute: number;
  costPerKm: number;
  /** Minutes from the base to a stop and back. */
  out: Float64Array;
  home: Float64Array;
  /** Money for these, and for the work at a stop. */
  outCost: Float64Array;
  homeCost: Float64Array;
  workCost: Float64Array;
  /** No route leaves a stop sooner, nor later and is back in time. */
  soonest: Float64Array;
  latest: Float64Array;
  /** Whether going through a stop can be quicker than going past it. */
  detours: boolean;
  /** Money that going through a stop can spare at most against going past it. */
  saving: number;
}

/** Places up to which an instance is searched for ways through a stop that are shorter; beyond they are assumed. */
const MOST_SEARCHED = 700;

/** The ground of a crew-day, with the stops that it could make if it made no other. */
export function pricingGround(instance: RouteInstance, day: number): PricingGround {
  const crewDay = instance.crewDays[day] as (typeof instance.crewDays)[number];
  const { from, to, startPlace, endPlace, costPerMinute = 0, costPerKm = 0 } = crewDay;
  const { travel, km } = instance;
  const shortcuts = shortcutsOf(instance);
  const detours = shortcuts.quicker;
  const offers = (index: number) => (instance.stops[index] as RouteStop).offers[day]?.windows ?? [];
  const start = (index: number, at: number) => offers(index).find((window) => at <= window.to + MINUTE_SLACK);
  const row = (place: number) => travel[place] as readonly number[];
  const leave = (index: number): number => {
    const stop = instance.stops[index] as RouteStop;
    const arrive = from + (row(startPlace)[stop.place] as number);
    const window = start(index, arrive);
    return window ? Math.max(arrive, window.from) + stop.serviceMinutes : Number.POSITIVE_INFINITY;
  };
  const possible = instance.stops.flatMap((stop, index) => {
    if (!stop.offers[day] || stop.offers[day]?.windows.length === 0) return [];
    if (detours) return [index];
    return leave(index) + (row(stop.place)[endPlace] as number) <= to + MINUTE_SLACK ? [index] : [];
  });
  const stops = possible.map((index) => instance.stops[index] as RouteStop);
  const count = stops.length;
  const money = (a: number, b: number) =>
    (costPerMinute ? costPerMinute * (row(a)[b] as number) : 0) +
    (costPerKm ? costPerKm * (km?.[a]?.[b] as number) : 0);
  const home = Float64Array.from(stops, (stop) => row(stop.place)[endPlace] as number);
  return {
    from,
    to,
    count,
    stops: Int32Array.from(possible),
    service: Float64Array.from(stops, (stop) => stop.serviceMinutes),
    open: Float64Array.from(possible, (index) => offers(index)[0]?.from as number),
    close: Float64Array.from(possible, (index) => offers(index).at(-1)?.to as number),
    windows: possible.map((index) => (offers(index).length > 1 ? offers(index) : undefined)),
    places: Int32Array.from(stops, (stop) => stop.place),
    minutes: flat(travel),
    km: costPerKm && km ? flat(km) : null,
    size: travel.length,
    costPerMinute,
    costPerKm,
    out: Float64Array.from(stops, (stop) => row(startPlace)[stop.place] as number),
    home,
    outCost: Float64Array.from(stops, (stop) => money(startPlace, stop.place)),
    homeCost: Float64Array.from(stops, (stop) => money(stop.place, endPlace)),
    workCost: Float64Array.from(stops, (stop) => costPerMinute * stop.serviceMinutes),
    soonest: Float64Array.from(possible, (index) => (detours ? from : leave(index))),
    latest: home.map((each) => (detours ? to : to - each)),
    detours,
    saving: (costPerMinute ? costPerMinute * shortcuts.minutes : 0) + (costPerKm ? costPerKm * shortcuts.km : 0),
  };
}

const flattened = new WeakMap<RouteInstance["travel"], Float64Array>();

function flat(table: RouteInstance["travel"]): Float64Array {
  const known = flattened.get(table);
  if (known) return known;
  const size = table.length;
  const all = new Float64Array(size * size);
  table.forEach((row, from) => {
    for (let to = 0; to < size; to++) all[from * size + to] = row[to] ?? Number.NaN;
  });
  flattened.set(table, all);
  return all;
}

/** What ways through another place spare against the straight one. */
interface Shortcuts {
  /** Whether one is quicker although work is done there. */
  quicker: boolean;
  /** Most minutes and km of driving that one spares, work left aside. */
  minutes: number;
  km: number;
}

const NO_SHORTCUTS: Shortcuts = { quicker: false, minutes: 0, km: 0 };
const known = new WeakMap<RouteInstance["travel"], Shortcuts>();

/** The shortcuts of an instance, remembered by travel table. */
function shortcutsOf(instance: RouteInstance): Shortcuts {
  if (instance.metric) return NO_SHORTCUTS;
  const found = known.get(instance.travel) ?? searchShortcuts(instance);
  known.set(instance.travel, found);
  return found;
}

function searchShortcuts({ travel, km, stops, crewDays }: RouteInstance): Shortcuts {
  const used = new Set(stops.map((stop) => stop.place));
  for (const day of crewDays) used.add(day.startPlace).add(day.endPlace);
  const places = [...used];
  if (places.length > MOST_SEARCHED)
    return { quicker: true, minutes: Number.POSITIVE_INFINITY, km: Number.POSITIVE_INFINITY };
  const least = new Map<number, number>();
  for (const stop of stops)
    least.set(stop.place, Math.min(stop.serviceMinutes, least.get(stop.place) ?? Number.POSITIVE_INFINITY));
  const spared = (table: RouteInstance["travel"], work: boolean) => {
    let most = 0;
    for (const [via, minutes] of least) {
      const onward = table[via] as readonly number[];
      for (const from of places) {
        const row = table[from] as readonly number[];
        const reached = (row[via] as number) + (work ? minutes : 0);
        for (const to of places) most = Math.max(most, (row[to] as number) - reached - (onward[to] as number));
      }
    }
    return most;
  };
  const paid = crewDays.some((day) => day.costPerMinute);
  return {
    quicker: spared(travel, true) > 1e-9,
    minutes: paid ? spared(travel, false) : 0,
    km: km && crewDays.some((day) => day.costPerKm) ? spared(km, false) : 0,
  };
}
