import type { FleetFindings } from "../correlate/fleet-findings.ts";
import type { WeatherPicture } from "../correlate/weather-picture.ts";

/** The clock of one log source as the page of a site shows it. */
export interface ClockView {
  source: string;
  /** The source in words. */
  name: string;
  onsets: number;
  /** Probability that the clock is right as it stands, and that of the most likely reading. */
  right: number;
  probability: number;
  byOffset: { offsetHours: number; probability: number }[];
  darkAsLogged: number;
  darkAsRead: number;
  proposal: { offsetHours: number; summerHours: number } | null;
  /** The correction in force; the rest of this view is on times already corrected by it. */
  corrected: { offsetHours: number; summerHours: number; by: string; at: string; reason: string } | null;
  /** Onsets of this site by hour of the solar day, as its times stand and as the proposal would have them; length 24. */
  before: number[];
  after: number[] | null;
}

export interface WeatherPictureView extends WeatherPicture {
  asOf: string;
  wetHours: number;
  wetEpisodes: number;
  dryHours: number;
  dryEpisodes: number;
  rateRatio: number | null;
  low: number | null;
  high: number | null;
  /** In the light of the whole fleet; null until its pass has run. */
  shrunkRatio: number | null;
  noEffect: number | null;
  clocks: ClockView[];
}

export type FleetFindingsView = FleetFindings;
