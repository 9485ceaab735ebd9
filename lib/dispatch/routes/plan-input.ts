import type { Crew, Instant, Site, Skill, Visit } from "../../core/records.ts";
import type { Urgency } from "../urgency.ts";

/** One visit of the queue as the plan needs it. */
export interface VisitToPlan {
  visitId: string;
  site: Site;
  urgency: Urgency;
  /** Loss that going avoids, account currency; null counts as 0. */
  avoided: number | null;
  hoursOnSite: number;
  skills: readonly Skill[];
  /** Whether someone measures on parts that may be live. */
  liveMeasurement: boolean;
  /** What is recorded of the visit; null when it is only proposed. */
  booked: Visit | null;
}

/** What is expected of the hour that ends at `at`; null where nobody knows. */
export interface OutlookHour {
  at: Instant;
  rainProbability: number | null;
  gustProbability: number | null;
  thunderProbability: number | null;
  filmMm: number | null;
  temperatureC: number | null;
}

export interface PlanInput {
  visits: readonly VisitToPlan[];
  crews: readonly Crew[];
  /** First day, YYYY-MM-DD, and how many; each crew's own calendar. */
  from: string;
  days: number;
  /** By site; a site without an entry has no outlook, and its roof work is not refused for weather. */
  outlook: ReadonlyMap<string, readonly OutlookHour[]>;
  roadFactor: number;
  speedKmh: number;
}

export const UNSERVED_CODES = [
  "no_crew_day",
  "longer_than_shift",
  "other_crew_promised",
  "skill_missing",
  "people_missing",
  "too_far",
  "access_or_daylight",
  "promise_not_possible",
  "roof_weather",
  "not_enough_hours",
] as const;
export type UnservedCode = (typeof UNSERVED_CODES)[number];

export interface Refusal {
  code: UnservedCode;
  why: string;
}
