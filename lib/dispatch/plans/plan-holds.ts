import type { Crew, Instant } from "../../core/records.ts";
import type { PlannedStop } from "../routes/walk-route.ts";

export interface CrewDayName {
  crewId: string;
  /** YYYY-MM-DD on the crew's calendar. */
  day: string;
}

/** A crew-day that has begun: what is done or under way stays, and the rest starts from where and when that ends. */
export interface BegunDay extends CrewDayName {
  leave: Instant | null;
  stops: readonly PlannedStop[];
  /** From when the crew can drive on. */
  freeAt: Instant;
}

/** What people have fixed, and the planner may not touch. */
export interface PlanHolds {
  /** Days that a crew works though its work days do not say so. */
  added: readonly CrewDayName[];
  /** Days on which nobody of a crew works. */
  closed: readonly CrewDayName[];
  /** Visits that stay with a crew on a day. */
  pins: readonly (CrewDayName & { visitId: string; by: string })[];
  /** Routes that stay as they are. */
  locked: readonly (CrewDayName & { visitIds: readonly string[]; by: string })[];
  begun: readonly BegunDay[];
  /** Visits that stay out of the plan. */
  out: readonly { visitId: string; by: string }[];
}

export const NO_HOLDS: PlanHolds = { added: [], closed: [], pins: [], locked: [], begun: [], out: [] };

export const crewDayKey = ({ crewId, day }: CrewDayName): string => `${crewId} ${day}`;

const WEEKDAY_NAMES = ["sun", "mon", "tue", "wed", "thu", "fri", "sat"] as const;
const USUAL_DAYS = ["mon", "tue", "wed", "thu", "fri"] as const;

export const weekdayOf = (day: string): (typeof WEEKDAY_NAMES)[number] =>
  WEEKDAY_NAMES[new Date(`${day}T00:00:00Z`).getUTCDay()] as (typeof WEEKDAY_NAMES)[number];

const usualDays = (crew: Crew): readonly string[] => (crew.workDays.length > 0 ? crew.workDays : USUAL_DAYS);

/** Crews whose work days hold the days added by hand too; the other days that this opens are not theirs, see `worksOn`. */
export function crewsWithAdded(crews: readonly Crew[], added: readonly CrewDayName[]): Crew[] {
  return crews.map((crew) => {
    const more = added.filter((each) => each.crewId === crew.crewId).map((each) => weekdayOf(each.day));
    if (more.length === 0) return crew;
    return { ...crew, workDays: [...new Set([...usualDays(crew), ...more])] as Crew["workDays"] };
  });
}

/** Whether a crew works on a day: as recorded or added, and not taken out. */
export function worksOn(crew: Crew, day: string, { added, closed }: PlanHolds): boolean {
  const named = (days: readonly CrewDayName[]) => days.some((each) => each.crewId === crew.crewId && each.day === day);
  if (named(closed)) return false;
  return usualDays(crew).includes(weekdayOf(day)) || named(added);
}
