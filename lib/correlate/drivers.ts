import { logSumExp } from "../core/statistics.ts";
import { stateCode, type WeatherState } from "../weather/weather-state.ts";
import type { HourFrame } from "./hour-frame.ts";
import { type Residuals, residuals } from "./strata.ts";

/** What may drive onsets. `any_wet` is rain or dew. */
export const WEATHER_DRIVERS = ["rain", "dew", "any_wet", "hot", "thunder", "wind"] as const;
export type WeatherDriver = (typeof WEATHER_DRIVERS)[number];

/**
 * The hours in which a driver is on: 1, 0, or 255 where not known. Rain goes on under thunder, so that a site which
 * trips in any rain is not called a thunder site for the rain of its storms.
 */
export function driverHours(frame: HourFrame, driver: WeatherDriver): Uint8Array {
  if (driver === "any_wet") return frame.wet;
  const own = stateCode(driver as WeatherState);
  const thunder = driver === "rain" ? stateCode("thunder") : -1;
  const out = new Uint8Array(frame.hours);
  for (let i = 0; i < frame.hours; i++) {
    const s = frame.state[i] as number;
    if (s === 0) out[i] = 255;
    else if (s === own) out[i] = 1;
    else if (s === thunder) out[i] = frame.wet[i] as number;
  }
  return out;
}

/** Residuals of every driver within the strata of the frame. */
export function driverResiduals(
  frame: HourFrame,
  comparable: Uint8Array,
  exposure: ArrayLike<number>,
): Record<WeatherDriver, Residuals> {
  return Object.fromEntries(
    WEATHER_DRIVERS.map((d) => [d, residuals(driverHours(frame, d), comparable, frame.stratum, exposure)]),
  ) as Record<WeatherDriver, Residuals>;
}

export interface DriverPosterior {
  none: number;
  byDriver: Record<WeatherDriver, number>;
  best: WeatherDriver | "none";
}

/** Before any data: no driver 0.4, each of the six 0.1. Engineering judgement. */
const PRIOR_NONE = 0.4;
const PRIOR_EACH = 0.1;
/** Log rate ratios considered under a driver, each as likely: 1.25 to about 55 times. */
const GRID = Array.from({ length: 20 }, (_, i) => 0.22 + i * 0.2);

/**
 * Compare drivers by how well each explains which hours the onsets chose within their strata.
 *
 * Under a driver with rate ratio r an onset falls into an "on" hour of its stratum with odds r times those of chance.
 * The likelihood of all onsets against chance is averaged over r above 1 and tempered by the overdispersion. Because
 * every driver is judged on the same onsets against the same strata, the likelihoods compare directly; conditioning on
 * strata keeps dew from being credited with what is only morning.
 *
 * @param on residuals of each driver's indicator
 * @param onsets indexes of onsets at risk
 */
export function compareDrivers(
  on: Record<WeatherDriver, Residuals>,
  onsets: ArrayLike<number>,
  overdispersion: number,
): DriverPosterior {
  const scores = WEATHER_DRIVERS.map(
    (driver) => Math.log(PRIOR_EACH) + logBayesFactor(on[driver], onsets, overdispersion),
  );
  const total = logSumExp([Math.log(PRIOR_NONE), ...scores]);
  const byDriver = Object.fromEntries(
    WEATHER_DRIVERS.map((d, i) => [d, Math.exp((scores[i] as number) - total)]),
  ) as Record<WeatherDriver, number>;
  const none = Math.exp(Math.log(PRIOR_NONE) - total);
  let best: WeatherDriver | "none" = "none";
  let most = none;
  for (const d of WEATHER_DRIVERS) {
    if (byDriver[d] > most) {
      best = d;
      most = byDriver[d];
    }
  }
  return { none, byDriver, best };
}

/** Natural log of the likelihood under the driver over that of chance; 0 when nothing can be compared. */
export function logBayesFactor(
  { residual, share }: Residuals,
  onsets: ArrayLike<number>,
  overdispersion: number,
): number {
  const terms = GRID.map((logRatio) => {
    const extra = Math.expm1(logRatio);
    let sum = 0;
    for (let k = 0; k < onsets.length; k++) {
      const i = onsets[k] as number;
      const p = share[i] as number;
      if (!(p > 0) || !(p < 1)) continue;
      sum += ((residual[i] as number) > 0 ? logRatio : 0) - Math.log1p(p * extra);
    }
    return sum / overdispersion;
  });
  return logSumExp(terms) - Math.log(GRID.length);
}
