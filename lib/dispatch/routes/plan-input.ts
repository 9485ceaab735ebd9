import type { Crew, Instant, LocalDay, Site, Skill, Visit } from "../../core/records.ts";
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
  /**
   * A look at ground level that a named person allowed to be made while surfaces are wet; `taken_back`: planned as one, and
   * not allowed any more. Absent: nobody is sent onto wet metal.
   */
  inTheWet?: "allowed" | "taken_back" | undefined;
  /** Somebody holds the site up to and with that day. Binds neither an emergency nor what was promised. */
  held?: { until: LocalDay; says: string } | undefined;
}

/** The hold that keeps a visit from a plan; null when none does. */
export const bindingHold = ({ urgency, booked, held }: VisitToPlan): VisitToPlan["held"] | null =>
  held && urgency !== "make_safe" && booked?.status !== "promised" ? held : null;

/** What is expected of the hour that ends at `at`; null where nobody knows. */
export interface OutlookHour {
  at: Instant;
  rainProbability: number | null;
  gustProbability: number | null;
  thunderProbability: number | null;
  /** Water on the surface; from past years the depth that three in ten such hours exceed. */
  filmMm: number | null;
  /** From past years what three in ten such hours fall short of. */
  temperatureC: number | null;
  /** What it rests on: a forecast, or how such hours were in past years. Absent: a forecast. */
  basis?: "forecast" | "past_years";
}

/** One way by road. */
export interface RoadLeg {
  minutes: number;
  /** Null: not known, the great circle's. */
  km: number | null;
}

/** Ways by road that somebody gave, by the keys of `placeKey`; null where it has none. */
export type RoadLegs = (from: string, to: string) => RoadLeg | null;

/** Key of a place on the road: a site, or the base of a crew. */
export const placeKey = {
  site: (siteId: string) => `site ${siteId}`,
  crew: (crewId: string) => `crew ${crewId}`,
} as const;

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
  /** Ways by road; absent or null for a way: the great circle times the factor at the speed. */
  roads?: { name: string; leg: RoadLegs };
  /** Account currency, for crews whose own is not recorded. Absent: such crews cost nothing. */
  costs?: { perHour: number; perKm: number };
  /** What else was found wrong with crews or visits, to be told with the plan. */
  remarks?: readonly string[];
  /** Name of the account's currency, for sentences about money. */
  currency?: string;
}

export const UNSERVED_CODES = [
  "no_crew_day",
  "held",
  "longer_than_shift",
  "other_crew_promised",
  "skill_missing",
  "people_missing",
  "too_far",
  "access_or_daylight",
  "promise_not_possible",
  "roof_weather",
  "wet_surface",
  "not_enough_hours",
  "not_worth_trip",
] as const;
export type UnservedCode = (typeof UNSERVED_CODES)[number];

export interface Refusal {
  code: UnservedCode;
  why: string;
}
