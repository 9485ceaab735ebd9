import { WEATHER_STATES } from "../weather/weather-state.ts";
import type { HourFrame } from "./hour-frame.ts";
import { STRATA } from "./sun-hours.ts";

const STATE_COUNT = WEATHER_STATES.length;

/** Unit-hours at risk of a site, summed once for everything that counts them. */
export interface HourTally {
  /** By `tallyAt`; hours that are neither wet nor dry are in none. */
  cells: Float64Array;
  /** Months with any, in order: UTC months since January 1970, and unit-hours by WEATHER_STATES. */
  months: { month: number; byState: Float64Array }[];
}

/** Place of a stratum, a state and wet (1) or dry (0) in the cells of a tally. */
export const tallyAt = (stratum: number, state: number, wet: number): number =>
  (stratum * STATE_COUNT + state) * 2 + wet;

/** @param exposure units at risk an hour */
export function hourTally(frame: HourFrame, exposure: ArrayLike<number>): HourTally {
  const { hours, wet, state, stratum, month } = frame;
  const cells = new Float64Array(STRATA * STATE_COUNT * 2);
  const months: HourTally["months"] = [];
  let current = -1;
  let byState = new Float64Array(STATE_COUNT);
  for (let i = 0; i < hours; i++) {
    const units = exposure[i] as number;
    if (units === 0) continue;
    const own = month[i] as number;
    if (own !== current) {
      current = own;
      byState = new Float64Array(STATE_COUNT);
      months.push({ month: own, byState });
    }
    const s = state[i] as number;
    byState[s] = (byState[s] as number) + units;
    const w = wet[i] as number;
    if (w === 255 || s === 0) continue;
    const c = tallyAt(stratum[i] as number, s, w);
    cells[c] = (cells[c] as number) + units;
  }
  return { cells, months };
}
