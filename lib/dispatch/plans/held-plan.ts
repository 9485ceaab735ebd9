import type { PlanInput } from "../routes/plan-input.ts";
import { type PlanInstance, planInstance } from "../routes/plan-instance.ts";
import type { RouteInstance, RouteStop, Tier } from "../routes/route-instance.ts";
import { type BegunDay, type CrewDayName, crewDayKey, crewsWithAdded, type PlanHolds, worksOn } from "./plan-holds.ts";

const MINUTE_MS = 60_000;

/** A plan's days and visits with what people have fixed in them. */
export interface HeldPlan {
  /** As it was given. */
  given: PlanInput;
  /** With the crews' added days. */
  input: PlanInput;
  holds: PlanHolds;
  /** Crew-days that nobody works have no offers; a day that has begun starts where and when its crew is free. */
  planned: PlanInstance;
  /** Index of each crew-day by `crewDayKey`; only those that are worked. */
  dayOf: ReadonlyMap<string, number>;
  /** Index of each visit by its id. */
  visitOf: ReadonlyMap<string, number>;
  /** What is done or under way, by crew-day. */
  begun: ReadonlyMap<number, BegunDay>;
  /** Routes that stay as they are, by crew-day. */
  locked: ReadonlyMap<number, readonly number[]>;
}

/** Days, visits and holds together. @throws RangeError as `planInstance` does */
export function heldPlan(given: PlanInput, holds: PlanHolds): HeldPlan {
  const input = { ...given, crews: crewsWithAdded(given.crews, holds.added) };
  const built = planInstance(input);
  const usual = new Map(given.crews.map((crew) => [crew.crewId, crew]));
  const dayOf = new Map<string, number>();
  built.shifts.forEach(({ crew, day }, index) => {
    if (worksOn(usual.get(crew.crewId) ?? crew, day, holds)) dayOf.set(crewDayKey({ crewId: crew.crewId, day }), index);
  });
  const visitOf = new Map(input.visits.map((visit, index) => [visit.visitId, index]));
  const begun = byDay(holds.begun, dayOf);
  const locked = new Map(
    [...byDay(holds.locked, dayOf)].map(([day, lock]) => [
      day,
      lock.visitIds.flatMap((visitId) => visitOf.get(visitId) ?? []),
    ]),
  );
  const worked = new Set(dayOf.values());
  const crewDays = built.instance.crewDays.map((crewDay, index) => {
    const started = begun.get(index);
    if (!started) return crewDay;
    const last = visitOf.get(started.stops.at(-1)?.visitId ?? "");
    const from = Math.max(crewDay.from, (started.freeAt - built.origin) / MINUTE_MS);
    const startPlace = last === undefined ? crewDay.startPlace : (built.instance.stops[last] as RouteStop).place;
    return { ...crewDay, startPlace, from, to: Math.max(crewDay.to, from) };
  });
  const stops = built.instance.stops.map((stop) => ({
    ...stop,
    offers: stop.offers.map((offer, day) => (worked.has(day) ? offer : null)),
  }));
  const planned = { ...built, instance: { ...built.instance, crewDays, stops } };
  return { given, input, holds, planned, dayOf, visitOf, begun, locked };
}

function byDay<T extends CrewDayName>(entries: readonly T[], dayOf: ReadonlyMap<string, number>): Map<number, T> {
  return new Map(
    entries.flatMap((entry) => {
      const day = dayOf.get(crewDayKey(entry));
      return day === undefined ? [] : [[day, entry] as const];
    }),
  );
}

/** Visits that the planner has no say in: on a locked route, done or under way. */
export function fixedVisits({ locked, begun, visitOf }: HeldPlan): Set<number> {
  const frozen = [...begun.values()].flatMap(({ stops }) => stops.flatMap(({ visitId }) => visitOf.get(visitId) ?? []));
  return new Set([...[...locked.values()].flat(), ...frozen]);
}

export interface PinRules {
  /** Tier of pinned visits; at 2 they stand beside make-safe ones. */
  pinTier?: 1 | 2;
  /** Last date for a visit, by its index. */
  latest?: ReadonlyMap<number, string>;
}

/**
 * The instance that is left to plan: locked days take nothing more, fixed visits are out of it, a pinned visit is
 * offered by its own crew-day only and comes before what nobody promised.
 *
 * @param keep visits to hold on a crew-day as if pinned, as index of the day by index of the visit
 * @param stay what staying on the same crew-day counts for, as a share of the visit's value
 */
export function openInstance(
  held: HeldPlan,
  keep: ReadonlyMap<number, number> = new Map(),
  stay: { days: ReadonlyMap<number, number>; bonus: number } = { days: new Map(), bonus: 0 },
  { pinTier = 1, latest = new Map() }: PinRules = {},
): RouteInstance {
  const { instance } = held.planned;
  const fixed = fixedVisits(held);
  const only = new Map(keep);
  const pinned = new Set<number>();
  for (const pin of held.holds.pins) {
    const visit = held.visitOf.get(pin.visitId);
    const day = held.dayOf.get(crewDayKey(pin));
    if (visit === undefined || day === undefined) continue;
    only.set(visit, day);
    pinned.add(visit);
  }
  const over = new Set(instance.crewDays.flatMap((day, index) => (day.from >= day.to ? [index] : [])));
  for (const { visitId } of held.holds.out) fixed.add(held.visitOf.get(visitId) ?? -1);
  const stops = instance.stops.map((stop, index): RouteStop => {
    if (fixed.has(index)) return { ...stop, tier: 0, offers: stop.offers.map(() => null) };
    const own = only.get(index);
    const offers = stop.offers.map((offer, day) => {
      if (!offer || held.locked.has(day) || over.has(day) || (own !== undefined && own !== day)) return null;
      if ((held.planned.shifts[day]?.day ?? "") > (latest.get(index) ?? "later")) return null;
      return stay.days.get(index) === day ? { ...offer, value: offer.value * (1 + stay.bonus) } : offer;
    });
    const able = offers.some((offer) => offer !== null);
    // One that nobody can make is left out of the tiers, as in `planInstance`.
    const tier = !able ? 0 : pinned.has(index) ? (Math.max(stop.tier, pinTier) as Tier) : stop.tier;
    return { ...stop, tier, offers };
  });
  return { ...instance, stops };
}
