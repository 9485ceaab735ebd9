import { HOUR_MS } from "../core/weather-series.ts";
import { readSite } from "./correlate-site.ts";
import { type DoseResponse, doseResponse } from "./dose-response.ts";
import { compareDrivers, type DriverPosterior } from "./drivers.ts";
import { type CorrelateInput, filmHours } from "./hour-frame.ts";
import { type LagCurve, lagCurve } from "./lag-curve.ts";
import { poissonBinomialTail } from "./poisson-binomial.ts";
import { shiftTest } from "./shift-test.ts";
import { type Residuals, residuals } from "./strata.ts";
import { stratifiedRatio } from "./stratified-ratio.ts";

/** Gaps between alarms at which the ratio is shown beside the default, so that nobody need trust one choice. */
const OTHER_GAPS_HOURS = [1, 6] as const;

export interface GapRatio {
  gapHours: number;
  episodes: number;
  ratio: number | null;
  low: number | null;
  high: number | null;
}

/** What the page of one site draws of its faults and its weather; too costly to compute for every site. */
export interface WeatherPicture {
  lag: LagCurve | null;
  dose: DoseResponse | null;
  drivers: DriverPosterior | null;
  /** Tail of the exact test within strata, which takes onsets for independent; null: nothing to compare. */
  exactP: number | null;
  shift: { p: number | null; pEmpirical: number | null; shifts: number; overdispersion: number } | null;
  gaps: GapRatio[];
}

/**
 * Lag curve, dose, drivers and sensitivity of one site, from the same hours and onsets as its score.
 * @shape O(49 x onsets x days)
 */
export function weatherPicture(input: CorrelateInput): WeatherPicture {
  const { sky } = readSite(input);
  const nothing = { lag: null, dose: null, drivers: null, exactP: null, shift: null, gaps: [] };
  if (!sky?.wet || !input.weather) return nothing;
  const { frame, hours, wet } = sky;
  const onsets = sky.onsets.filter((i) => frame.wet[i] !== 255);
  if (onsets.length === 0) return nothing;
  const test = shiftTest(onsets, wet);
  const known = frame.wet.map((code) => (code === 255 ? 0 : 1));
  return {
    lag: lagCurve(onsets, residuals(frame.wet, known, frame.stratum)),
    dose: doseResponse(filmHours(frame, input.weather.wetness), onsets, {
      stratum: frame.stratum,
      exposure: hours.exposure,
    }),
    drivers: compareDrivers(frame, hours.tally, sky.onsets, test.overdispersion),
    exactP: exactTail(onsets, wet),
    shift: test,
    gaps: OTHER_GAPS_HOURS.flatMap((gapHours) => gapRatio({ ...input, gapMs: gapHours * HOUR_MS }, gapHours)),
  };
}

/** Chance of as many wet onsets or more, each onset wet with the share of its stratum. */
export function exactTail(onsets: readonly number[], { share, residual }: Residuals): number | null {
  const open = onsets.filter((i) => (share[i] as number) > 0 && (share[i] as number) < 1);
  if (open.length === 0) return null;
  return poissonBinomialTail(
    open.map((i) => share[i] as number),
    open.filter((i) => (residual[i] as number) > 0).length,
  );
}

function gapRatio(input: CorrelateInput, gapHours: number): GapRatio[] {
  const { sky } = readSite(input);
  if (!sky?.wet) return [];
  const onsets = sky.onsets.filter((i) => sky.frame.wet[i] !== 255);
  const { overdispersion } = shiftTest(onsets, sky.wet);
  const { ratio, lower, upper } = stratifiedRatio(onsets, sky.wet, overdispersion);
  return [{ gapHours, episodes: onsets.length, ratio, low: lower, high: upper }];
}
