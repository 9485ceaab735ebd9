import type { Instant } from "../core/records.ts";
import type { Episode, Unit } from "../faults/episode.ts";
import type { WeatherState } from "../weather/weather-state.ts";
import type { ClockEvidence } from "./clock-offset.ts";
import type { ReadingsInWeather } from "./readings-in-weather.ts";

export const DRIVERS = [
  "none",
  "rain",
  "dew",
  "any_wet",
  "hot",
  "thunder",
  "wind",
  "not_enough_data",
  "weather_unknown",
] as const;
export type Driver = (typeof DRIVERS)[number];

/** Unit-hours at risk and unit onsets by weather state. States absent from the data hold zero. */
export type ByState = Record<WeatherState, { unitHours: number; episodes: number }>;

/** The contract's `weather` object of a score. Null: cannot be given. */
export interface WeatherFinding {
  driver: Driver;
  rateRatio: number | null;
  low: number | null;
  high: number | null;
  pValue: number | null;
  /** Benjamini-Hochberg across the fleet; filled by the fleet pass. */
  qValue: number | null;
  wetHours: number;
  wetEpisodes: number;
  dryHours: number;
  dryEpisodes: number;
  clockOffsetHours: number | null;
}

/** One at-risk onset with what the weather was. */
export interface EpisodeInWeather extends Episode {
  /** State of the hour of onset. */
  state: WeatherState;
  /** Whether the onset fell in an hour at risk (only these enter rates). */
  atRisk: boolean;
  /** Ended within 3 h of the first dry hour after a wet onset; null where the end is censored or the onset dry. */
  clearedOnDrying: boolean | null;
  /** Hours since the last hour with rain before the onset, 0 when it rained in that hour; null: none in 48 h or unknown. */
  hoursSinceRain: number | null;
  /** Onset within one hour after the array first woke that day. */
  atDawn: boolean;
}

/** Everything that the weather and the log say of one site, before any cause is considered. */
export interface SiteCorrelation {
  units: Unit[];
  episodes: EpisodeInWeather[];
  byState: ByState;
  /** Unit-hours at risk by UTC month, so that phases before and after a repair can be told apart. */
  exposureByMonth: { from: Instant; to: Instant; unitHours: Record<WeatherState, number> }[];
  weather: WeatherFinding;
  /** Log likelihood of each rate ratio of RATIO_GRID against none, tempered: what the fleet learns from. Null: none. */
  ratioGrid: number[] | null;
  /** What the onsets of each log source say of its clock; source null: the log of the site itself. */
  clock: { source: string | null; evidence: ClockEvidence }[];
  /** What inverters report of their arrays, wet against dry; empty where no weather or no reading is known. */
  readings: ReadingsInWeather[];
  /** Overdispersion of onsets, at least 1: likelihoods of counts are tempered by it. */
  overdispersion: number;
  /** First and last hour of the log that could be at risk; null when nothing could. */
  window: { from: Instant; to: Instant } | null;
  /** Unit-hours left out, by reason (night, silent, weather unknown, episode open, off …). */
  excludedUnitHours: Record<string, number>;
  /** Counts for the reader: rows, ground-fault rows, other classes, unknown codes, duplicates, missing ends … */
  counts: Record<string, number>;
  gaps: { what: string; says: string }[];
  notes: string[];
}
