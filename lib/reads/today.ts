import "server-only";
import { z } from "zod";
import { isoInZone, localDay } from "../core/zoned-time.ts";
import type { Actor } from "../store/actor.ts";
import { crews } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import { visitActivity } from "../store/visit-activity.ts";
import { crewDaysInForce } from "./crew-days.ts";
import type { Urgency } from "./documents.ts";
import { dayAfter } from "./load-plan.ts";

export const TodayQuery = z.object({ crew: z.string().optional(), day: z.iso.date("a date YYYY-MM-DD").optional() });

export interface TodayView {
  crews: { crewId: string; name: string }[];
  /** Null: the person has not said which crew is theirs. */
  crew: { crewId: string; name: string } | null;
  day: string;
  isToday: boolean;
  /** Null: no confirmed plan knows of this day. */
  route: {
    leave: string | null;
    return: string | null;
    km: number;
    closed: boolean;
    confirmedAt: string;
    stops: {
      visitId: string;
      siteName: string;
      urgency: Exclude<Urgency, "watch">;
      start: string;
      depart: string;
      driveKm: number;
      promised: boolean;
      done: boolean;
      begun: boolean;
    }[];
  } | null;
  /** The next day of the crew with a stop after this one. */
  next: string | null;
}

/** How far ahead the next day with a stop is looked for. */
const LOOK_AHEAD_DAYS = 21;

/** A technician's day by the plan that went out. */
export async function readToday(actor: Actor, query: z.infer<typeof TodayQuery>, now = Date.now()): Promise<TodayView> {
  return readTransaction(actor, async (tx) => {
    const all = await crews(tx);
    const names = all.map(({ crewId, name }) => ({ crewId, name }));
    const crew = all.find((each) => each.crewId === query.crew) ?? (all.length === 1 ? all[0] : undefined);
    const today = localDay(now, crew?.timeZone ?? "UTC");
    const day = query.day ?? today;
    const none = { crews: names, crew: null, day, isToday: day === today, route: null, next: null };
    if (!crew) return none;
    const span = { from: day, to: dayAfter(day, LOOK_AHEAD_DAYS), crewId: crew.crewId };
    const days = await crewDaysInForce(tx, span);
    const found = days.find((each) => each.day === day);
    const clock = (at: number | null) => (at === null ? null : isoInZone(at, crew.timeZone).slice(11, 16));
    const activity = await visitActivity(tx, found?.stops.map((stop) => stop.visit.visitId) ?? []);
    return {
      ...none,
      crew: { crewId: crew.crewId, name: crew.name },
      next: days.find((each) => each.day > day && each.stops.length > 0)?.day ?? null,
      route: found
        ? {
            ...{ leave: clock(found.leave), return: clock(found.return), closed: found.closed },
            km: found.returnKm + found.stops.reduce((sum, stop) => sum + stop.driveKm, 0),
            confirmedAt: new Date(found.confirmedAt).toISOString(),
            stops: found.stops.map(({ visit, site, start, depart, driveKm }) => ({
              ...{ visitId: visit.visitId, siteName: site.name, urgency: visit.basis.urgency, driveKm },
              ...{ start: clock(start) ?? "", depart: clock(depart) ?? "", promised: visit.promised },
              done: activity.get(visit.visitId)?.done ?? false,
              begun: activity.get(visit.visitId)?.begunAt != null,
            })),
          }
        : null,
    };
  });
}
