import type { Instant } from "../../core/records.ts";
import { type PlanInput, UNSERVED_CODES } from "../routes/plan-input.ts";
import { planInstance, promiseOf } from "../routes/plan-instance.ts";
import type { PlannedDay, PlannedStop } from "../routes/plan-sheet.ts";
import { earliestStart, type RouteStop } from "../routes/route-instance.ts";
import type { HeldPlan } from "./held-plan.ts";

export interface DrivenDay {
  day: PlannedDay;
  /** Road km with the way back. */
  km: number;
  /**
   * Loss that its stops avoid less what the crew's driving and work cost where the instance has that, account currency;
   * a stop that nobody may serve counts for nothing.
   */
  value: number;
  /** Minutes by which work begins too late, and the crew is back too late, summed. */
  lateMinutes: number;
  /** Stops that this crew-day may not serve at all, by index. */
  refused: number[];
}

/** A route as it would be driven, also where it breaks rules: a stop that is reached too late is worked on all the same. */
export function drivenDay(held: HeldPlan, dayIndex: number, route: readonly number[]): DrivenDay {
  const { input, planned } = held;
  const { instance, km } = planned;
  const crewDay = instance.crewDays[dayIndex] as (typeof instance.crewDays)[number];
  const { costPerMinute = 0, costPerKm = 0 } = crewDay;
  const at = (minute: number): Instant => planned.origin + Math.round(minute * 60) * 1000;
  const begun = held.begun.get(dayIndex);
  const frozen = new Map((begun?.stops ?? []).map((stop) => [stop.visitId, stop]));
  let here = crewDay.startPlace;
  let clock = crewDay.from;
  let leave: Instant | null = begun?.leave ?? null;
  const out: DrivenDay = { day: {} as PlannedDay, km: 0, value: 0, lateMinutes: 0, refused: [] };
  const stops = route.map((index): PlannedStop => {
    const stop = instance.stops[index] as RouteStop;
    const visit = input.visits[index] as PlanInput["visits"][number];
    const offer = stop.offers[dayIndex] ?? null;
    out.value += offer?.value ?? 0;
    const done = frozen.get(visit.visitId);
    if (done) {
      out.km += done.driveKm;
      return done;
    }
    if (!offer) out.refused.push(index);
    const driveMinutes = instance.travel[here]?.[stop.place] as number;
    const driveKm = km[here]?.[stop.place] as number;
    out.km += driveKm;
    out.value -= costPerMinute * (driveMinutes + stop.serviceMinutes) + costPerKm * driveKm;
    let arrive = clock + driveMinutes;
    const windows = offer?.windows ?? [];
    const open = earliestStart(windows, arrive);
    const start = open ?? Math.max(arrive, crewDay.from);
    const last = windows.at(-1)?.to;
    if (open === null && last !== undefined) out.lateMinutes += arrive - last;
    if (leave === null) {
      leave = at(start - driveMinutes);
      arrive = start;
    }
    clock = start + stop.serviceMinutes;
    here = stop.place;
    return {
      visitId: visit.visitId,
      siteId: visit.site.siteId,
      arrive: at(arrive),
      start: at(start),
      depart: at(clock),
      driveKm,
      driveMinutes,
      pinned: promiseOf(visit, input.from) !== null,
    };
  });
  const home = clock + (instance.travel[here]?.[crewDay.endPlace] as number);
  const returnKm = km[here]?.[crewDay.endPlace] as number;
  if (route.length > 0) {
    out.km += returnKm;
    out.value -= costPerMinute * (home - clock) + costPerKm * returnKm;
    const shiftEnd = ((planned.shifts[dayIndex]?.to ?? 0) - planned.origin) / 60_000;
    out.lateMinutes += Math.max(0, home - shiftEnd);
  }
  const shift = planned.shifts[dayIndex] as PlannedDay["shift"];
  out.day = { shift, leave: leave ?? at(crewDay.from), return: at(home), returnKm, stops };
  return out;
}

/** Why a crew-day may not serve a visit, in words. */
export function refusalOf(held: HeldPlan, dayIndex: number, visitIndex: number): string {
  const shift = held.planned.shifts[dayIndex] as PlannedDay["shift"];
  const visit = held.input.visits[visitIndex] as PlanInput["visits"][number];
  const { crew, day } = shift;
  const alone = planInstance({ ...held.input, visits: [visit], crews: [crew], from: day, days: 1 });
  const refusal = alone.refused.get(visit.visitId);
  if (!refusal) return `${crew.crewId} may not serve it on ${day}: it was promised for other hours.`;
  if (!UNSERVED_CODES.includes(refusal.code) || refusal.code === "no_crew_day")
    return `${crew.crewId} does not work on ${day}.`;
  if (refusal.code === "other_crew_promised") return `It was promised to crew ${visit.booked?.crewId}.`;
  return refusal.why;
}
