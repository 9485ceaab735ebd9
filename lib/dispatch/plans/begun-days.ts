import type { Instant } from "../../core/records.ts";
import type { PlannedStop } from "../routes/walk-route.ts";
import { type BegunDay, type CrewDayName, crewDayKey } from "./plan-holds.ts";
import type { StoredPlan, StoredPlanDay, StoredPlanVisit, StoredStop } from "./stored-plan.ts";

/** What is told of a crew while its day goes on. */
export interface CrewNow {
  crewId: string;
  /** Nobody of the crew works on: sick, or called away. */
  off: boolean;
  /** When it can drive on; null: as planned, or at once. */
  freeAt: Instant | null;
}

export interface Activity {
  begunAt: Instant | null;
  endedAt: Instant | null;
  done: boolean;
}

/**
 * What of today stays when the rest is planned anew: stops that are done, under way, or should have begun by now with
 * nothing known of them (not every crew writes on a phone); and from when each crew can drive on.
 *
 * @returns days that have begun, and days on which the crew makes nothing at all
 */
export function begunDays(
  days: readonly StoredPlanDay[],
  visits: readonly StoredPlanVisit[],
  told: readonly CrewNow[],
  activity: ReadonlyMap<string, Activity>,
  now: Instant,
): { begun: BegunDay[]; closed: CrewDayName[] } {
  const begun: BegunDay[] = [];
  const closed: CrewDayName[] = [];
  for (const day of days) {
    const name = { crewId: day.crewId, day: day.day };
    const crew = told.find((each) => each.crewId === day.crewId);
    const route = visits
      .filter((v) => v.stop && crewDayKey(v.stop) === crewDayKey(name))
      .sort((a, b) => (a.stop?.position ?? 0) - (b.stop?.position ?? 0));
    const speaks = route.some((v) => activity.get(v.visitId)?.begunAt);
    const isFrozen = (v: StoredPlanVisit) => {
      const known = activity.get(v.visitId);
      if (known?.done || known?.begunAt) return true;
      return !crew?.off && !speaks && (v.stop as StoredStop).start <= now;
    };
    const last = route.map(isFrozen).lastIndexOf(true);
    const stops = route
      .filter((v, at) => at <= last && isFrozen(v))
      .map((v) => asMade(v, activity.get(v.visitId), now));
    if (stops.length === 0 && crew?.off) {
      closed.push(name);
      continue;
    }
    const free = crew?.off ? Math.max(day.shiftTo, now) : Math.max(now, crew?.freeAt ?? stops.at(-1)?.depart ?? now);
    const final = stops.at(-1);
    // A visit that runs over is under way until its crew can drive on.
    const ends = final && !activity.get(final.visitId)?.done && !crew?.off ? { ...final, depart: free } : final;
    begun.push({
      ...name,
      leave: stops.length > 0 ? day.leave : null,
      stops: ends ? [...stops.slice(0, -1), ends] : [],
      freeAt: free,
    });
  }
  return { begun, closed };
}

/** A stop with the hours that it had, where they are known. */
function asMade(visit: StoredPlanVisit, activity: Activity | undefined, now: Instant): PlannedStop {
  const { arrive, start, depart, driveKm, driveMinutes } = visit.stop as StoredStop;
  const begun = activity?.begunAt ?? null;
  const began = begun !== null && begun <= now ? begun : start;
  const ended = activity?.endedAt ?? null;
  return {
    ...{ visitId: visit.visitId, siteId: visit.siteId, driveKm, driveMinutes, pinned: visit.promised },
    arrive: Math.min(arrive, began),
    start: began,
    depart: ended !== null && ended >= began ? ended : Math.max(depart, began),
  };
}

/** The days of a plan that go on at an instant, on each crew's own calendar. */
export function daysGoingOn(
  plan: Pick<StoredPlan, "crewDays">,
  today: (crewId: string) => string | null,
): StoredPlanDay[] {
  return plan.crewDays.filter((d) => d.closedBy === null && d.day === today(d.crewId));
}
