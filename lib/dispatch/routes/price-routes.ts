import { type CompletionBound, completionBound } from "./completion-bound.ts";
import { earliestStart, MINUTE_SLACK, type RouteInstance, type RouteStop } from "./route-instance.ts";

export interface PricedRoutes {
  /** Routes that gain more than `floor`, best first. */
  routes: number[][];
  /** No route of this crew-day gains more; at least `floor`. Infinite when that could not be shown. */
  most: number;
}

const KEPT = 40;

/**
 * The routes of a crew-day with the most gain: value less the price of each stop. Every order of the stops is tried
 * that could still beat what is known, by depth first under a relaxed bound, so `most` is exact within the node budget
 * and falls back to the relaxed bound, still valid, beyond it.
 *
 * @param prices by stop; may be negative
 * @param floor routes that gain no more than this are of no interest
 * @param budget nodes of the tree to look at
 */
export function priceRoutes(
  instance: RouteInstance,
  day: number,
  prices: readonly number[],
  floor: number,
  budget: number,
): PricedRoutes {
  const gains = instance.stops.map((stop, index) => (stop.offers[day]?.value ?? 0) - (prices[index] as number));
  const convex = instance.stops.flatMap((stop, index) =>
    stop.offers[day] && (gains[index] as number) > 1e-9 ? [index] : [],
  );
  // A stop without gain could pay only by shortening a way, which a travel table without detours through it rules out.
  const useful = shortcutsExist(instance, day)
    ? instance.stops.flatMap((stop, index) => (stop.offers[day] ? [index] : []))
    : convex;
  const bound = completionBound(instance, day, gains, useful);
  return new Pricing(instance, day, gains, useful, bound, floor, budget).run();
}

/** Whether going through some stop is quicker than going past it, service included. */
function shortcutsExist(instance: RouteInstance, day: number): boolean {
  const crewDay = instance.crewDays[day] as (typeof instance.crewDays)[number];
  const { travel } = instance;
  const allowed = instance.stops.filter((stop) => stop.offers[day]);
  const places = [...new Set([crewDay.startPlace, crewDay.endPlace, ...allowed.map((stop) => stop.place)])];
  for (const stop of allowed) {
    const onward = travel[stop.place] as readonly number[];
    for (const from of places) {
      const row = travel[from] as readonly number[];
      const via = (row[stop.place] as number) + stop.serviceMinutes;
      for (const to of places) if (via + (onward[to] as number) < (row[to] as number) - 1e-9) return true;
    }
  }
  return false;
}

class Pricing {
  private readonly kept: { gain: number; stops: number[] }[] = [];
  private nodes = 0;
  private readonly used = new Set<number>();
  private readonly path: number[] = [];
  private readonly instance: RouteInstance;
  private readonly day: number;
  private readonly gains: readonly number[];
  private readonly useful: readonly number[];
  private readonly bound: CompletionBound | null;
  private readonly floor: number;
  private readonly budget: number;

  constructor(
    instance: RouteInstance,
    day: number,
    gains: readonly number[],
    useful: readonly number[],
    bound: CompletionBound | null,
    floor: number,
    budget: number,
  ) {
    this.instance = instance;
    this.day = day;
    this.gains = gains;
    this.useful = useful;
    this.bound = bound;
    this.floor = floor;
    this.budget = budget;
  }

  run(): PricedRoutes {
    const crewDay = this.instance.crewDays[this.day] as (typeof this.instance.crewDays)[number];
    const relaxed = this.bound ? this.bound(-1, crewDay.from, -1) : Infinity;
    this.extend(-1, crewDay.startPlace, crewDay.from, 0);
    this.kept.sort((a, b) => b.gain - a.gain);
    const top = Math.max(this.floor, this.kept[0]?.gain ?? this.floor);
    const most = this.nodes > this.budget ? Math.max(top, relaxed) : top;
    return { routes: this.kept.map((route) => route.stops), most };
  }

  private threshold(): number {
    return this.kept.length < KEPT ? this.floor : (this.kept[this.kept.length - 1]?.gain ?? this.floor);
  }

  private extend(last: number, here: number, clock: number, gain: number): void {
    const crewDay = this.instance.crewDays[this.day] as (typeof this.instance.crewDays)[number];
    const row = this.instance.travel[here] as readonly number[];
    if (++this.nodes > this.budget) return;
    if (
      last >= 0 &&
      gain > this.threshold() + 1e-9 &&
      clock + (row[crewDay.endPlace] as number) <= crewDay.to + MINUTE_SLACK
    ) {
      this.keep(gain);
    }
    for (const next of this.useful) {
      if (this.used.has(next)) continue;
      const stop = this.instance.stops[next] as RouteStop;
      const offer = stop.offers[this.day];
      const start = offer ? earliestStart(offer.windows, clock + (row[stop.place] as number)) : null;
      if (start === null) continue;
      const done = start + stop.serviceMinutes;
      if (done > crewDay.to + MINUTE_SLACK) continue;
      const now = gain + (this.gains[next] as number);
      const rest = this.bound ? this.bound(next, done, last) : this.gainLeft(next);
      if (now + rest <= this.threshold() + 1e-9) continue;
      this.used.add(next);
      this.path.push(next);
      this.extend(next, stop.place, done, now);
      this.path.pop();
      this.used.delete(next);
    }
  }

  private gainLeft(next: number): number {
    let total = 0;
    for (const index of this.useful)
      if (index !== next && !this.used.has(index)) total += Math.max(0, this.gains[index] as number);
    return total;
  }

  private keep(gain: number): void {
    this.kept.push({ gain, stops: [...this.path] });
    this.kept.sort((a, b) => b.gain - a.gain);
    if (this.kept.length > KEPT) this.kept.pop();
  }
}
