import { logSumExp } from "../core/statistics.ts";
import { stateCode, WEATHER_STATES, type WeatherState } from "../weather/weather-state.ts";
import { type DriverCells, logEvidence } from "./driver-model.ts";
import type { HourFrame } from "./hour-frame.ts";
import { type Residuals, residuals } from "./strata.ts";
import { STRATA } from "./sun-hours.ts";

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

/** Residuals of one driver within the strata of the frame. */
export function driverResiduals(
  frame: HourFrame,
  driver: WeatherDriver,
  comparable: Uint8Array,
  exposure: ArrayLike<number>,
): Residuals {
  return residuals(driverHours(frame, driver), comparable, frame.stratum, exposure);
}

export interface DriverPosterior {
  none: number;
  byDriver: Record<WeatherDriver, number>;
  best: WeatherDriver | "none";
}

/** Before any data: no driver 0.4, each of the six 0.1. Engineering judgement. */
const PRIOR_NONE = 0.4;
const PRIOR_EACH = 0.1;
/**
 * Compare drivers by how well each explains when the onsets came, against a rate that follows only the site's own
 * season and time of day. All drivers are judged on the same hours and onsets, so their evidences compare directly.
 *
 * @param exposure units at risk an hour
 * @param onsets indexes of onsets at risk; those in hours that cannot be told apart (snow, unknown) are left out
 */
export function compareDrivers(
  frame: HourFrame,
  exposure: ArrayLike<number>,
  onsets: ArrayLike<number>,
  overdispersion: number,
): DriverPosterior {
  const counts = stateCounts(frame, exposure, onsets);
  const none = logEvidence(driverCells(counts, null), false, overdispersion);
  const scores = WEATHER_DRIVERS.map(
    (d) => Math.log(PRIOR_EACH) + logEvidence(driverCells(counts, d), true, overdispersion) - none,
  );
  const total = logSumExp([Math.log(PRIOR_NONE), ...scores]);
  const byDriver = Object.fromEntries(
    WEATHER_DRIVERS.map((d, i) => [d, Math.exp((scores[i] as number) - total)]),
  ) as Record<WeatherDriver, number>;
  const noneShare = Math.exp(Math.log(PRIOR_NONE) - total);
  let best: WeatherDriver | "none" = "none";
  let most = noneShare;
  for (const d of WEATHER_DRIVERS) {
    if (byDriver[d] > most) {
      best = d;
      most = byDriver[d];
    }
  }
  return { none: noneShare, byDriver, best };
}

/** Hours at risk and onsets by stratum, state of the weather and wet or not: what every driver's cells are sums of. */
interface StateCounts {
  exposure: Float64Array;
  onsets: Float64Array;
}

const STATE_COUNT = WEATHER_STATES.length;
const countAt = (stratum: number, state: number, wet: number) => (stratum * STATE_COUNT + state) * 2 + wet;

function stateCounts(frame: HourFrame, exposure: ArrayLike<number>, onsets: ArrayLike<number>): StateCounts {
  const size = STRATA * STATE_COUNT * 2;
  const out = { exposure: new Float64Array(size), onsets: new Float64Array(size) };
  const { wet, state, stratum } = frame;
  for (let i = 0; i < frame.hours; i++) {
    const units = exposure[i] as number;
    if (units === 0 || wet[i] === 255 || state[i] === 0) continue;
    const c = countAt(stratum[i] as number, state[i] as number, wet[i] as number);
    out.exposure[c] = (out.exposure[c] as number) + units;
  }
  for (let k = 0; k < onsets.length; k++) {
    const i = onsets[k] as number;
    if (wet[i] === 255 || state[i] === 0) continue;
    const c = countAt(stratum[i] as number, state[i] as number, wet[i] as number);
    out.onsets[c] = (out.onsets[c] as number) + 1;
  }
  return out;
}

function driverCells(counts: StateCounts, driver: WeatherDriver | null): DriverCells {
  const cells = { exposure: new Float64Array(2 * STRATA), onsets: new Float64Array(2 * STRATA) };
  for (let state = 0; state < STATE_COUNT; state++) {
    for (let wet = 0; wet < 2; wet++) {
      const shift = driver !== null && driverIsOn(driver, state, wet) ? STRATA : 0;
      for (let s = 0; s < STRATA; s++) {
        const c = countAt(s, state, wet);
        cells.exposure[s + shift] = (cells.exposure[s + shift] as number) + (counts.exposure[c] as number);
        cells.onsets[s + shift] = (cells.onsets[s + shift] as number) + (counts.onsets[c] as number);
      }
    }
  }
  return cells;
}

/** Whether a driver is on in an hour of a known state; the same as driverHours says hour by hour. */
function driverIsOn(driver: WeatherDriver, state: number, wet: number): boolean {
  if (driver === "any_wet") return wet === 1;
  if (state === stateCode(driver as WeatherState)) return true;
  return driver === "rain" && state === stateCode("thunder") && wet === 1;
}
