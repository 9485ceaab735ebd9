import { MINUTE_SLACK, type StartWindow } from "./route-instance.ts";

/** A crew-day with what each leg gains: the value of the stop it leads to less its price and the money for the way. */
export interface PricedGround {
  from: number;
  to: number;
  count: number;
  service: Float64Array;
  open: Float64Array;
  close: Float64Array;
  windows: readonly (readonly StartWindow[] | undefined)[];
  legs: Float64Array;
  out: Float64Array;
  home: Float64Array;
  gains: Float64Array;
  outGain: Float64Array;
  homeGain: Float64Array;
  soonest: Float64Array;
  latest: Float64Array;
}

export interface CompletionBound {
  /** Most that any route gains. */
  whole: number;
  /** Most that a route can still gain once it leaves `from` at a minute, not returning at once to `last`; -1: none. */
  rest: (from: number, minute: number, last: number) => number;
  slot: number;
  slots: number;
  best: Float64Array;
}

const MOST_SLOTS = 1000;

/** When work begins for one who arrives at a minute; infinite: no more. */
export function startAt(ground: PricedGround, stop: number, arrive: number): number {
  if (arrive > (ground.close[stop] as number) + MINUTE_SLACK) return Number.POSITIVE_INFINITY;
  const windows = ground.windows[stop];
  if (!windows) return Math.max(arrive, ground.open[stop] as number);
  for (const window of windows) if (arrive <= window.to + MINUTE_SLACK) return Math.max(arrive, window.from);
  return Number.POSITIVE_INFINITY;
}

/**
 * A bound on the gain of any way to finish a route of a crew-day: routes may come back to a stop, only not at once
 * (q-routes without 2-cycles), and leave a slot's start at the earliest. Both only loosen, so no route gains more.
 *
 * @param slotMinutes wished length of a slot
 * @returns null when a step is so short that the recursion would have no order
 */
export function completionBound(ground: PricedGround, slotMinutes: number): CompletionBound | null {
  const { from, to, count, service, legs, home, gains, homeGain, soonest, latest } = ground;
  const slot = slotLength(ground, slotMinutes);
  if (slot === null) return null;
  const slots = Math.max(1, Math.floor((to - from) / slot + MINUTE_SLACK) + 1);
  const best = new Float64Array(count * slots).fill(Number.NEGATIVE_INFINITY);
  const second = new Float64Array(count * slots).fill(Number.NEGATIVE_INFINITY);
  const first = new Int32Array(count * slots).fill(-1);
  const perMinute = 1 / slot;
  const { arriveBy, doneFrom, several } = limitsOf(ground);
  for (let at = slots - 1; at >= 0; at--) {
    const minute = from + at * slot;
    for (let i = 0; i < count; i++) {
      if (minute > (latest[i] as number) + 1e-6 || minute + slot <= (soonest[i] as number) - 1e-6) continue;
      let one = minute + (home[i] as number) <= to + 1e-6 ? (homeGain[i] as number) : Number.NEGATIVE_INFINITY;
      let two = one;
      let next = -1;
      const row = i * count;
      for (let j = 0; j < count; j++) {
        const arrive = minute + (legs[row + j] as number);
        if (arrive > (arriveBy[j] as number) || j === i) continue;
        let done = arrive + (service[j] as number);
        if (done < (doneFrom[j] as number)) done = doneFrom[j] as number;
        if (several) done = Math.max(done, startAt(ground, j, arrive) + (service[j] as number));
        if (done > (latest[j] as number) + 1e-6) continue;
        const cell = j * slots + (((done - from) * perMinute - 1e-9) | 0);
        const rest = (first[cell] as number) === i ? (second[cell] as number) : (best[cell] as number);
        const gain = (gains[row + j] as number) + rest;
        if (gain > one) {
          two = one;
          one = gain;
          next = j;
        } else if (gain > two) two = gain;
      }
      const cell = i * slots + at;
      best[cell] = one;
      second[cell] = two;
      first[cell] = next;
    }
  }
  const rest = (stop: number, minute: number, last: number) => {
    const cell = stop * slots + Math.max(0, Math.floor((minute - from) * perMinute - 1e-9));
    return last >= 0 && first[cell] === last ? (second[cell] as number) : (best[cell] as number);
  };
  let whole = Number.NEGATIVE_INFINITY;
  for (let j = 0; j < count; j++) {
    const done = startAt(ground, j, from + (ground.out[j] as number)) + (service[j] as number);
    if (done <= (latest[j] as number) + 1e-6)
      whole = Math.max(whole, (ground.outGain[j] as number) + rest(j, done, -1));
  }
  return { whole, rest, slot, slots, best };
}

/** Most that any route through each stop gains, by the bound's slots; not more than `floor` where it is not more. */
export function throughBound(ground: PricedGround, bound: CompletionBound, floor: number): Float64Array {
  const { from, count, service, legs, gains, outGain, out, latest } = ground;
  const { slot, slots, best } = bound;
  const perMinute = 1 / slot;
  const reached = new Float64Array(count * slots).fill(Number.NEGATIVE_INFINITY);
  const { arriveBy, doneFrom, several } = limitsOf(ground);
  const reach = (j: number, arrive: number, gain: number) => {
    if (arrive > (arriveBy[j] as number)) return;
    let done = Math.max(arrive + (service[j] as number), doneFrom[j] as number);
    if (several) done = Math.max(done, startAt(ground, j, arrive) + (service[j] as number));
    if (done > (latest[j] as number) + 1e-6) return;
    const cell = j * slots + (((done - from) * perMinute - 1e-9) | 0);
    if (gain > (reached[cell] as number)) reached[cell] = gain;
  };
  for (let j = 0; j < count; j++) reach(j, from + (out[j] as number), outGain[j] as number);
  const through = new Float64Array(count).fill(Number.NEGATIVE_INFINITY);
  const top = new Float64Array(count).fill(Number.NEGATIVE_INFINITY);
  for (let at = 0; at < slots; at++) {
    const minute = from + at * slot;
    for (let i = 0; i < count; i++) {
      const cell = i * slots + at;
      const gain = reached[cell] as number;
      // Reached no later with no less: this slot leads nowhere that an earlier one does not.
      if (gain <= (top[i] as number)) continue;
      top[i] = gain;
      const most = gain + (best[cell] as number);
      if (most <= floor) continue;
      through[i] = Math.max(through[i] as number, most);
      const row = i * count;
      for (let j = 0; j < count; j++)
        if (j !== i) reach(j, minute + (legs[row + j] as number), gain + (gains[row + j] as number));
    }
  }
  return through;
}

/** Latest arrival of use at each stop, soonest that its work is done, and whether some stop has several windows. */
function limitsOf({ count, service, open, close, windows, soonest, latest }: PricedGround) {
  const arriveBy = new Float64Array(count);
  const doneFrom = new Float64Array(count);
  for (let j = 0; j < count; j++) {
    const work = service[j] as number;
    arriveBy[j] = Math.min(close[j] as number, (latest[j] as number) - work) + 1e-6;
    // Leaving at a slot's start can come out sooner than any route is there.
    doneFrom[j] = Math.max((open[j] as number) + work, soonest[j] as number);
  }
  return { arriveBy, doneFrom, several: windows.some((each) => each !== undefined) };
}

/** A slot that no step is shorter than, or null when that takes too many. */
function slotLength({ from, to, count, service, legs }: PricedGround, wished: number): number | null {
  let shortest = Number.POSITIVE_INFINITY;
  for (let i = 0; i < count; i++)
    for (let j = 0; j < count; j++)
      if (i !== j) shortest = Math.min(shortest, (legs[i * count + j] as number) + (service[j] as number));
  const slot = Math.max(1e-6, Math.min(wished, shortest * 0.999));
  return (to - from) / slot <= MOST_SLOTS ? slot : null;
}
