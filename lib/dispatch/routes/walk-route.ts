import type { Instant } from "../../core/records.ts";
import type { Shift } from "./crew-days.ts";
import type { PlanInput } from "./plan-input.ts";
import { type PlanInstance, promiseOf } from "./plan-instance.ts";
import { earliestStart, type RouteStop } from "./route-instance.ts";

const MINUTE_MS = 60_000;

export interface PlannedStop {
  visitId: string;
  siteId: string;
  arrive: Instant;
  start: Instant;
  depart: Instant;
  driveKm: number;
  driveMinutes: number;
  pinned: boolean;
}

export interface PlannedDay {
  shift: Shift;
  leave: Instant;
  return: Instant;
  returnKm: number;
  stops: PlannedStop[];
}

export interface WalkedDay {
  day: PlannedDay;
  /** Road km with the way back; 0 for no stops. */
  km: number;
  /** Loss that its stops avoid less what driving and work cost, account currency; one that nobody may serve counts for nothing. */
  value: number;
  /** Minutes by which work begins too late, and the crew is back too late, summed. */
  lateMinutes: number;
  /** Stops that this crew-day may not serve at all, by index. */
  refused: number[];
}

/** A day that has begun: from when its stops count as they were, by visit, and when the crew left. */
export interface WalkedAlready {
  leave: Instant | null;
  stops: ReadonlyMap<string, PlannedStop>;
}

/**
 * A route as it is driven: the crew leaves so as not to wait at the first stop, works when a stop's window opens, and drives
 * home. Where it breaks rules it is driven all the same: a stop that is reached too late is worked on, and that is told.
 */
export function walkRoute(
  input: PlanInput,
  planned: PlanInstance,
  dayIndex: number,
  route: readonly number[],
  already: WalkedAlready | null = null,
): WalkedDay {
  const { instance, km } = planned;
  const crewDay = instance.crewDays[dayIndex] as (typeof instance.crewDays)[number];
  const { costPerMinute = 0, costPerKm = 0 } = crewDay;
  const at = (minute: number): Instant => planned.origin + Math.round(minute * 60) * 1000;
  let here = crewDay.startPlace;
  let clock = crewDay.from;
  let leave = already?.leave ?? null;
  let isAhead = false;
  const out: WalkedDay = { day: {} as PlannedDay, km: 0, value: 0, lateMinutes: 0, refused: [] };
  const stops = route.map((index): PlannedStop => {
    const stop = instance.stops[index] as RouteStop;
    const visit = input.visits[index] as PlanInput["visits"][number];
    const offer = stop.offers[dayIndex] ?? null;
    out.value += offer?.value ?? 0;
    const done = already?.stops.get(visit.visitId);
    if (done) {
      out.km += done.driveKm;
      return done;
    }
    isAhead = true;
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
      ...{ visitId: visit.visitId, siteId: visit.site.siteId },
      ...{ arrive: at(arrive), start: at(start), depart: at(clock), driveKm, driveMinutes },
      pinned: promiseOf(visit, input.from) !== null,
    };
  });
  const home = clock + (instance.travel[here]?.[crewDay.endPlace] as number);
  const returnKm = km[here]?.[crewDay.endPlace] as number;
  const shift = planned.shifts[dayIndex] as Shift;
  if (route.length > 0) {
    out.km += returnKm;
    // Out already, a crew goes home whatever is planned: the way back is a plan's cost only with a stop ahead.
    if (isAhead) out.value -= costPerMinute * (home - clock) + costPerKm * returnKm;
    out.lateMinutes += Math.max(0, home - (shift.to - planned.origin) / MINUTE_MS);
  }
  out.day = { shift, leave: leave ?? at(crewDay.from), return: at(home), returnKm, stops };
  return out;
}
