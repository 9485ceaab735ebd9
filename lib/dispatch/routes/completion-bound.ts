import { earliestStart, MINUTE_SLACK, type RouteInstance, type RouteStop } from "./route-instance.ts";

const MAX_SLOTS = 240;

/** Most that a route can still gain once it leaves stop `from` (-1 the base) at a minute, not returning at once to `last`. */
export type CompletionBound = (from: number, minute: number, last: number) => number;

/**
 * A bound on the gain of any way to finish a route of a crew-day: routes may come back to a stop, only not at once
 * (q-routes without 2-cycles), and leave a slot's start at the earliest. Both only loosen, so no route gains more.
 *
 * @param gains by stop; stops without an offer or without gain are left out
 * @param useful stops that may be on the route
 * @returns null when a step can be shorter than a slot, where the recursion has no order
 */
export function completionBound(
  instance: RouteInstance,
  day: number,
  gains: readonly number[],
  useful: readonly number[],
): CompletionBound | null {
  const crewDay = instance.crewDays[day] as (typeof instance.crewDays)[number];
  const stops = useful.map((index) => instance.stops[index] as RouteStop);
  const shift = crewDay.to - crewDay.from;
  const slot = Math.max(shift / MAX_SLOTS, 1e-6);
  const slots = Math.max(1, Math.floor(shift / slot + MINUTE_SLACK) + 1);
  if (stops.some((to) => stops.some((from) => from !== to && stepOf(instance, from, to) < slot * 1.001))) return null;
  const count = stops.length;
  const best = new Float64Array(count * slots).fill(Number.NEGATIVE_INFINITY);
  const second = new Float64Array(count * slots).fill(Number.NEGATIVE_INFINITY);
  const first = new Int32Array(count * slots).fill(-1);
  const slotOf = (minute: number) => Math.max(0, Math.floor((minute - crewDay.from) / slot - 1e-9));
  const after = (from: number, at: number, last: number) => {
    const cell = from * slots + at;
    return first[cell] === last && last >= 0 ? (second[cell] as number) : (best[cell] as number);
  };
  const leaving = (from: number, place: number, minute: number, banned: number) => {
    const row = instance.travel[place] as readonly number[];
    let one = minute + (row[crewDay.endPlace] as number) <= crewDay.to + 1e-6 ? 0 : Number.NEGATIVE_INFINITY;
    let two = one;
    let next = -1;
    for (let to = 0; to < count; to++) {
      if (to === from || to === banned) continue;
      const stop = stops[to] as RouteStop;
      const offer = stop.offers[day];
      const start = offer ? earliestStart(offer.windows, minute + (row[stop.place] as number)) : null;
      if (start === null) continue;
      const done = start + stop.serviceMinutes;
      if (done > crewDay.to + 1e-6) continue;
      const gain = (gains[useful[to] as number] as number) + after(to, Math.min(slots - 1, slotOf(done)), from);
      if (gain > one) {
        two = one;
        one = gain;
        next = to;
      } else if (gain > two) two = gain;
    }
    return { one, two, next };
  };
  for (let at = slots - 1; at >= 0; at--) {
    for (let from = 0; from < count; from++) {
      const found = leaving(from, (stops[from] as RouteStop).place, crewDay.from + at * slot, -1);
      const cell = from * slots + at;
      best[cell] = found.one;
      second[cell] = found.two;
      first[cell] = found.next;
    }
  }
  const position = new Map(useful.map((index, at) => [index, at]));
  return (from, minute, last) => {
    if (from < 0) return leaving(-1, crewDay.startPlace, minute, -1).one;
    const at = position.get(from);
    return at === undefined ? Infinity : after(at, Math.min(slots - 1, slotOf(minute)), position.get(last) ?? -1);
  };
}

const stepOf = (instance: RouteInstance, from: RouteStop, to: RouteStop) =>
  ((instance.travel[from.place] as readonly number[])[to.place] as number) + to.serviceMinutes;
