import { type CompletionBound, completionBound, type PricedGround, startAt, throughBound } from "./completion-bound.ts";
import { type PricingGround, pricingGround } from "./pricing-ground.ts";
import { MINUTE_SLACK, type RouteInstance } from "./route-instance.ts";

export interface PricedRoutes {
  /** Routes that gain more than `floor`, best first, no two with the same stops. */
  routes: number[][];
  /** No route of this crew-day gains more; at least `floor`. Infinite when that could not be shown. */
  most: number;
}

export interface PricingLimits {
  /** Routes that gain no more than this are of no interest. */
  floor: number;
  /** Nodes of the tree to look at. */
  nodes: number;
  /** Routes to keep. */
  kept: number;
  /** Share of the relaxed bound that a route must gain to be looked for at first; 0 looks for all above the floor. */
  reach: number;
}

/** Slots of the bounds that only pick the stops that matter, and of the one that leads the search; minutes. */
const COARSE_SLOTS = [30, 12];
const FINE_SLOT = 5;
/** Stops up to which the fine bound is taken at once. */
const FEW = 40;

/**
 * The routes of a crew-day with the most gain: value less the price of each stop, less the money for driving and work.
 * Every order of the stops is tried that could still beat what is known, best first under a relaxed bound, so `most` is
 * exact within the node budget and falls back to the relaxed bound, still valid, beyond it.
 *
 * @param prices by stop; may be negative
 */
export function priceRoutes(
  instance: RouteInstance,
  day: number,
  prices: readonly number[],
  limits: PricingLimits,
  ground: PricingGround = pricingGround(instance, day),
): PricedRoutes {
  const gain = new Float64Array(ground.count);
  const useful: number[] = [];
  for (let i = 0; i < ground.count; i++) {
    const stop = ground.stops[i] as number;
    const value = instance.stops[stop]?.offers[day]?.value ?? 0;
    gain[i] = value - (prices[stop] as number) - (ground.workCost[i] as number);
    // A stop without gain could pay only by shortening a way, in time or in money.
    if (ground.detours || (gain[i] as number) > 1e-9 - ground.saving) useful.push(i);
  }
  const all = pricedGround(ground, gain, useful);
  const coarse = completionBound(all, all.count <= FEW ? FINE_SLOT : (COARSE_SLOTS[0] as number));
  if (!coarse) return search(ground, useful, all, null, limits, Number.POSITIVE_INFINITY);
  if (coarse.whole <= limits.floor + 1e-9) return { routes: [], most: limits.floor };
  const aim = Math.max(limits.floor, limits.reach * coarse.whole);
  const found = aimed(ground, gain, useful, all, coarse, { ...limits, floor: aim });
  if (found.routes.length > 0 || aim <= limits.floor) return found;
  const again = aimed(ground, gain, useful, all, coarse, limits);
  return { routes: again.routes, most: Math.min(found.most, again.most) };
}

function aimed(
  ground: PricingGround,
  gain: Float64Array,
  useful: readonly number[],
  all: PricedGround,
  coarse: CompletionBound,
  limits: PricingLimits,
): PricedRoutes {
  let left = useful;
  let few = all;
  let bound = coarse;
  let relaxed = coarse.whole;
  for (const slot of [...COARSE_SLOTS.slice(1), FINE_SLOT]) {
    if (few.count <= FEW && bound.slot <= FINE_SLOT) break;
    const through = throughBound(few, bound, limits.floor);
    const kept = left.filter((_, k) => (through[k] as number) > limits.floor + 1e-9);
    const narrower = pricedGround(ground, gain, kept);
    const closer = completionBound(narrower, narrower.count <= FEW ? FINE_SLOT : slot);
    if (!closer) break;
    [left, few, bound] = [kept, narrower, closer];
    relaxed = Math.min(relaxed, bound.whole);
    if (relaxed <= limits.floor + 1e-9) return { routes: [], most: limits.floor };
  }
  return search(ground, left, few, bound, limits, relaxed);
}

/** The part of the ground at some positions, with what each leg gains. */
function pricedGround(ground: PricingGround, gain: Float64Array, at: readonly number[]): PricedGround {
  const count = at.length;
  const pick = (values: Float64Array) => Float64Array.from(at, (i) => values[i] as number);
  const legs = new Float64Array(count * count);
  const gains = new Float64Array(count * count);
  const places = Int32Array.from(at, (i) => ground.places[i] as number);
  const { minutes, km, size, costPerMinute, costPerKm } = ground;
  for (let a = 0; a < count; a++) {
    const row = (places[a] as number) * size;
    for (let b = 0; b < count; b++) {
      const cell = row + (places[b] as number);
      const leg = minutes[cell] as number;
      const money = costPerMinute * leg + (km ? costPerKm * (km[cell] as number) : 0);
      legs[a * count + b] = leg;
      gains[a * count + b] = (gain[at[b] as number] as number) - money;
    }
  }
  return {
    from: ground.from,
    to: ground.to,
    count,
    service: pick(ground.service),
    open: pick(ground.open),
    close: pick(ground.close),
    windows: at.map((i) => ground.windows[i]),
    legs,
    out: pick(ground.out),
    home: pick(ground.home),
    gains,
    outGain: Float64Array.from(at, (i) => (gain[i] as number) - (ground.outCost[i] as number)),
    homeGain: Float64Array.from(at, (i) => -(ground.homeCost[i] as number)),
    soonest: pick(ground.soonest),
    latest: pick(ground.latest),
  };
}

function search(
  ground: PricingGround,
  at: readonly number[],
  priced: PricedGround,
  bound: CompletionBound | null,
  limits: PricingLimits,
  relaxed: number,
): PricedRoutes {
  const tree = new PricingTree(priced, bound, limits);
  const { routes, top, ended } = tree.run();
  return {
    routes: routes.map((route) => route.map((i) => ground.stops[at[i] as number] as number)),
    most: ended ? Math.max(top, relaxed) : top,
  };
}

interface Kept {
  gain: number;
  stops: number[];
  mark: number;
}

/** A whole number scattered over 32 bits (the finaliser of MurmurHash3, Austin Appleby, public domain). */
function mixed(value: number): number {
  let h = Math.imul(value ^ (value >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return h ^ (h >>> 16);
}

/** Depth first, the most promising way on first. */
class PricingTree {
  private kept: Kept[] = [];
  private nodes = 0;
  private readonly used: Uint8Array;
  private readonly path: number[] = [];
  private readonly marks: Int32Array;
  private readonly ground: PricedGround;
  private readonly bound: CompletionBound | null;
  private readonly limits: PricingLimits;
  private floor: number;

  constructor(ground: PricedGround, bound: CompletionBound | null, limits: PricingLimits) {
    this.ground = ground;
    this.bound = bound;
    this.limits = limits;
    this.floor = limits.floor;
    this.used = new Uint8Array(ground.count);
    // A set of stops is known again by the sum of its marks, whatever the order.
    this.marks = Int32Array.from({ length: ground.count }, (_, i) => mixed(i + 1));
  }

  run(): { routes: number[][]; top: number; ended: boolean } {
    const { from, to } = this.ground;
    if (to >= from) this.extend(-1, from, 0, 0);
    this.kept.sort((a, b) => b.gain - a.gain);
    return {
      routes: this.kept.map((route) => route.stops),
      top: Math.max(this.limits.floor, this.kept[0]?.gain ?? this.limits.floor),
      ended: this.nodes > this.limits.nodes,
    };
  }

  private extend(here: number, clock: number, gain: number, mark: number): void {
    const { ground } = this;
    const { count } = ground;
    if (++this.nodes > this.limits.nodes) return;
    if (here >= 0 && clock + (ground.home[here] as number) <= ground.to + MINUTE_SLACK)
      this.keep(gain + (ground.homeGain[here] as number), mark);
    const ways: { next: number; done: number; now: number; most: number }[] = [];
    for (let next = 0; next < count; next++) {
      if (this.used[next] === 1) continue;
      const leg = here < 0 ? (ground.out[next] as number) : (ground.legs[here * count + next] as number);
      const done = startAt(ground, next, clock + leg) + (ground.service[next] as number);
      if (!(done <= (ground.latest[next] as number) + MINUTE_SLACK)) continue;
      const now = gain + (here < 0 ? (ground.outGain[next] as number) : (ground.gains[here * count + next] as number));
      const most = now + (this.bound ? this.bound.rest(next, done, here) : this.gainLeft(next));
      if (most > this.floor + 1e-9) ways.push({ next, done, now, most });
    }
    ways.sort((a, b) => b.most - a.most);
    for (const way of ways) {
      if (way.most <= this.floor + 1e-9) break;
      this.used[way.next] = 1;
      this.path.push(way.next);
      this.extend(way.next, way.done, way.now, (mark + (this.marks[way.next] as number)) | 0);
      this.path.pop();
      this.used[way.next] = 0;
    }
  }

  /** Without a bound: as if every stop left could still be made for nothing. */
  private gainLeft(next: number): number {
    const { ground } = this;
    let total = 0;
    for (let j = 0; j < ground.count; j++) {
      if (j === next || this.used[j] === 1) continue;
      let most = 0;
      for (let i = 0; i < ground.count; i++)
        if (i !== j) most = Math.max(most, ground.gains[i * ground.count + j] as number);
      total += most;
    }
    return total;
  }

  private keep(gain: number, mark: number): void {
    if (gain <= this.floor + 1e-9) return;
    const same = this.kept.findIndex((route) => route.mark === mark && route.stops.length === this.path.length);
    if (same >= 0) {
      if ((this.kept[same] as Kept).gain >= gain) return;
      this.kept.splice(same, 1);
    }
    let at = this.kept.length;
    while (at > 0 && (this.kept[at - 1] as Kept).gain < gain) at--;
    this.kept.splice(at, 0, { gain, stops: [...this.path], mark });
    if (this.kept.length > this.limits.kept) this.kept.pop();
    if (this.kept.length >= this.limits.kept) this.floor = Math.max(this.floor, (this.kept.at(-1) as Kept).gain);
  }
}
