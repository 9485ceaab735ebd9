/** A visit that has no place in a plan, and why. */
export interface UnservedVisit {
  /** Index into visits. */
  visit: number;
  code: UnservedCode;
  why: string;
}

export const UNSERVED_CODES = [
  "no_crew",
  "no_site",
  "promised_later",
  "other_crew",
  "skills",
  "crew_too_small",
  "no_road",
  "too_far",
  "too_long",
  "promise",
  "access",
  "daylight",
  "weather",
  "closed",
  "not_enough_hours",
  "not_worth_the_trip",
  "outranked",
] as const;
export type UnservedCode = (typeof UNSERVED_CODES)[number];
