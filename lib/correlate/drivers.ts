import { logSumExp } from "../core/statistics.ts";
import { stateCode, WEATHER_STATES, type WeatherState } from "../weather/weather-state.ts";
import type { DriverCells } from "./driver-fit.ts";
import { logEvidence } from "./driver-model.ts";
import type { HourFrame } from "./hour-frame.ts";
import { type HourTally, tallyAt } from "./hour-tally.ts";
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
 * @param tally hours at risk
 * @param onsets indexes of onsets at risk; those in hours that cannot be told apart (snow, unknown) are left out
 */
export function compareDrivers(
  frame: HourFrame,
  tally: HourTally,
  onsets: ArrayLike<number>,
  overdispersion: number,
): DriverPosterior {
  const counts: StateCounts = { exposure: tally.cells, onsets: onsetCounts(frame, onsets) };
  const all = sumCells(counts, null);
  const none = logEvidence(driverCells(all, null), false, overdispersion);
  const scores = WEATHER_DRIVERS.map(
    (d) => Math.log(PRIOR_EACH) + logEvidence(driverCells(all, sumCells(counts, d)), true, overdispersion) - none,
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

function onsetCounts({ wet, state, stratum }: HourFrame, onsets: ArrayLike<number>): Float64Array {
  const out = new Float64Array(STRATA * STATE_COUNT * 2);
  for (let k = 0; k < onsets.length; k++) {
    const i = onsets[k] as number;
    if (wet[i] === 255 || state[i] === 0) continue;
    const c = tallyAt(stratum[i] as number, state[i] as number, wet[i] as number);
    out[c] = (out[c] as number) + 1;
  }
  return out;
}

/** Sums by stratum over the hours in which a driver is on; null: over all. */
function sumCells(counts: StateCounts, driver: WeatherDriver | null): StateCounts {
  const sums: StateCounts = { exposure: new Float64Array(STRATA), onsets: new Float64Array(STRATA) };
  for (let state = 0; state < STATE_COUNT; state++)
    for (let wet = 0; wet < 2; wet++) {
      if (driver !== null && !driverIsOn(driver, state, wet)) continue;
      for (let s = 0; s < STRATA; s++) {
        const c = tallyAt(s, state, wet);
        sums.exposure[s] = (sums.exposure[s] as number) + (counts.exposure[c] as number);
        sums.onsets[s] = (sums.onsets[s] as number) + (counts.onsets[c] as number);
      }
    }
  return sums;
}

/** Hours and onsets with the driver off are those of all without those with it on: whole numbers, so nothing is lost. */
function driverCells(all: StateCounts, on: StateCounts | null): DriverCells {
  const cells = { exposure: new Float64Array(2 * STRATA), onsets: new Float64Array(2 * STRATA) };
  for (const name of ["exposure", "onsets"] as const) {
    cells[name].set(all[name]);
    if (!on) continue;
    cells[name].set(on[name], STRATA);
    for (let s = 0; s < STRATA; s++) cells[name][s] = (cells[name][s] as number) - (on[name][s] as number);
  }
  return cells;
}

/** Whether a driver is on in an hour of a known state; the same as driverHours says hour by hour. */
function driverIsOn(driver: WeatherDriver, state: number, wet: number): boolean {
  if (driver === "any_wet") return wet === 1;
  if (state === stateCode(driver as WeatherState)) return true;
  return driver === "rain" && state === stateCode("thunder") && wet === 1;
}
