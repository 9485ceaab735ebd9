import type { Routes } from "../routes/route-instance.ts";
import { brokenSheetRules } from "../routes/sheet-validator.ts";
import type { PlannedStop } from "../routes/walk-route.ts";
import { type DrivenDay, drivenDay, refusalOf } from "./driven-day.ts";
import { fixedVisits, type HeldPlan } from "./held-plan.ts";
import { crewDayKey } from "./plan-holds.ts";

/** Later than this counts as later, ms: times are given to the second. */
const LATER_MS = 60_000;

/** What other routes cost and bring, against those before. */
export interface Consequence {
  /** Change of the loss avoided, account currency. */
  value: number;
  /** Change of the road km. */
  km: number;
  /** Change of the minutes begun too late or back too late. */
  lateMinutes: number;
  /** Rules that are broken afterwards on the days that change, in words. */
  broken: string[];
  /** Make-safe visits that begin later than before or drop out. */
  hazardsLater: { visitId: string; says: string }[];
}

/** The crew-days whose routes differ. */
export function changedDays(before: Routes, after: Routes): number[] {
  return after.flatMap((route, day) => {
    const old = before[day] ?? [];
    return route.length === old.length && route.every((stop, at) => stop === old[at]) ? [] : [day];
  });
}

/** What routes change against others of the same plan; only the days that differ are looked at. */
export function consequenceOf(held: HeldPlan, before: Routes, after: Routes): Consequence {
  const days = changedDays(before, after);
  const old = days.map((day) => drivenDay(held, day, before[day] ?? []));
  const now = days.map((day) => drivenDay(held, day, after[day] ?? []));
  const sum = (of: (day: DrivenDay) => number) =>
    now.reduce((total, day) => total + of(day), 0) - old.reduce((total, day) => total + of(day), 0);
  return {
    value: sum((day) => day.value),
    km: sum((day) => day.km),
    lateMinutes: sum((day) => day.lateMinutes),
    broken: [...heldRules(held, before, after, days), ...brokenOn(held, days, now)],
    hazardsLater: hazardsLater(held, old, now),
  };
}

/** Every rule that a plan breaks, in words: its holds apart, which are people's own. */
export function brokenPlanRules(held: HeldPlan, routes: Routes): string[] {
  const days = routes.flatMap((route, day) => (route.length > 0 ? [day] : []));
  return brokenOn(
    held,
    days,
    days.map((day) => drivenDay(held, day, routes[day] ?? [])),
  );
}

function brokenOn(held: HeldPlan, days: readonly number[], driven: readonly DrivenDay[]): string[] {
  return days.flatMap((day, at) => {
    const { day: planned, refused } = driven[at] as DrivenDay;
    if (planned.stops.length === 0) return [];
    const worked = held.dayOf.get(crewDayKey({ crewId: planned.shift.crew.crewId, day: planned.shift.day })) === day;
    const idle = worked ? [] : [`${planned.shift.crew.crewId} does not work on ${planned.shift.day}.`];
    const reasons = refused.map((index) => `${held.input.visits[index]?.visitId}: ${refusalOf(held, day, index)}`);
    const said = new Set(refused.map((index) => held.input.visits[index]?.visitId));
    // The sheet's own rules, of a day by itself; what the refusal says better is not said twice.
    const rules = sheetRules(held, planned.stops, driven[at] as DrivenDay).filter(
      (rule) => !said.has(rule.slice(0, rule.indexOf(":"))),
    );
    // A rule that is broken from hour to hour is said once.
    return [...new Set([...idle, ...reasons, ...rules])];
  });
}

/** What happened already is no rule to break: of a day that has begun, what its done stops break by themselves is left out. */
function sheetRules(held: HeldPlan, stops: readonly PlannedStop[], { day }: DrivenDay): string[] {
  const ids = new Set(stops.map((stop) => stop.visitId));
  const visits = held.input.visits.filter((visit) => ids.has(visit.visitId));
  const rules = brokenSheetRules({ ...held.input, visits }, { days: [day], unserved: [] });
  const begun = held.begun.get(held.dayOf.get(crewDayKey({ crewId: day.shift.crew.crewId, day: day.shift.day })) ?? -1);
  if (!begun || begun.stops.length === 0) return rules;
  if (begun.stops.length === stops.length) return [];
  const done = new Set(begun.stops.map((stop) => stop.visitId));
  return rules.filter((rule) => !done.has(rule.split(/[: ]/)[0] ?? "") && !/leaves before the shift/.test(rule));
}

function heldRules(held: HeldPlan, before: Routes, after: Routes, days: readonly number[]): string[] {
  const broken: string[] = [];
  const id = (index: number) => held.input.visits[index]?.visitId ?? String(index);
  for (const day of days) {
    const shift = held.planned.shifts[day];
    if (held.locked.has(day)) broken.push(`${shift?.crew.crewId} on ${shift?.day} is locked.`);
    const frozen = held.begun.get(day)?.stops.map((stop) => stop.visitId) ?? [];
    const kept = (after[day] ?? []).slice(0, frozen.length).map(id);
    if (frozen.some((visitId, at) => kept[at] !== visitId))
      broken.push(`${shift?.crew.crewId} on ${shift?.day}: what is done or under way stays as it is.`);
  }
  const dayAfter = dayByStop(after);
  const dayBefore = dayByStop(before);
  for (const pin of held.holds.pins) {
    const visit = held.visitOf.get(pin.visitId);
    if (visit === undefined || dayBefore.get(visit) === dayAfter.get(visit)) continue;
    broken.push(`${pin.visitId} is pinned by ${pin.by}.`);
  }
  return broken;
}

export const dayByStop = (routes: Routes): Map<number, number> =>
  new Map(routes.flatMap((route, day) => route.map((stop) => [stop, day] as const)));

function hazardsLater(
  held: HeldPlan,
  old: readonly DrivenDay[],
  now: readonly DrivenDay[],
): Consequence["hazardsLater"] {
  const starts = new Map(now.flatMap(({ day }) => day.stops.map((stop) => [stop.visitId, stop.start] as const)));
  const fixed = fixedVisits(held);
  return old.flatMap(({ day }) =>
    day.stops.flatMap((stop) => {
      const index = held.visitOf.get(stop.visitId);
      const visit = index === undefined ? null : held.input.visits[index];
      if (visit?.urgency !== "make_safe" || fixed.has(index as number)) return [];
      const start = starts.get(stop.visitId);
      if (start === undefined) return [{ visitId: stop.visitId, says: "drops out of the plan" }];
      const hours = (start - stop.start) / 3_600_000;
      return start > stop.start + LATER_MS
        ? [{ visitId: stop.visitId, says: `begins ${hours.toFixed(1)} h later` }]
        : [];
    }),
  );
}

/** What the routes are worth together, as `drivenDay` reckons it. */
export const planValue = (held: HeldPlan, routes: Routes): number =>
  routes.reduce((total, route, day) => total + (route.length > 0 ? drivenDay(held, day, route).value : 0), 0);
