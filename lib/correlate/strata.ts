import { HOUR_MS } from "../core/weather-series.ts";
import { sunAngles } from "../weather/sun-position.ts";

const HOURS = 24;

/**
 * Solar hour by calendar month: hours of one stratum differ in weather, not in season or time of
 * day, so comparing within strata removes both as confounders.
 * @returns stratum an hour: solar hour x 12 + month (0 to 287)
 */
export function strataOf(firstHour: number, hours: number, longitude: number): Uint16Array {
  const out = new Uint16Array(hours);
  for (let i = 0; i < hours; i++) {
    const middle = (firstHour + i - 0.5) * HOUR_MS;
    const solar = Math.floor((sunAngles(middle, longitude).hourAngleDeg + 180) / 15) % HOURS;
    out[i] = solar * 12 + new Date(middle).getUTCMonth();
  }
  return out;
}

/** How an indicator is spread over strata, and what is left of it within them. */
export interface Residuals {
  /** indicator - share of its stratum; 0 where the hour is not compared. Aligned with the hours. */
  residual: Float32Array;
  /** share x (1 - share); 0 where the hour is not compared. */
  variance: Float32Array;
  /** Share of the stratum that the hour lies in; 0 where not compared. */
  share: Float32Array;
}

/** Hours that a stratum borrows from the two neighbouring months, so that a thin one has a sensible share. */
const NEIGHBOUR_WEIGHT = 0.25;

/**
 * Residuals of an on/off indicator within strata.
 * @param on 1, 0, or 255 where unknown
 * @param counted 1 where the hour is compared (lit, weather known)
 */
export function residuals(on: Uint8Array, counted: Uint8Array, strata: Uint16Array): Residuals {
  const total = new Float64Array(HOURS * 12);
  const yes = new Float64Array(HOURS * 12);
  const n = on.length;
  for (let i = 0; i < n; i++) {
    if (!counted[i] || on[i] === 255) continue;
    const s = strata[i] as number;
    total[s] = (total[s] as number) + 1;
    yes[s] = (yes[s] as number) + (on[i] as number);
  }
  const share = smoothedShares(total, yes);
  const out = { residual: new Float32Array(n), variance: new Float32Array(n), share: new Float32Array(n) };
  for (let i = 0; i < n; i++) {
    if (!counted[i] || on[i] === 255) continue;
    const p = share[strata[i] as number] as number;
    out.share[i] = p;
    out.residual[i] = (on[i] as number) - p;
    out.variance[i] = p * (1 - p);
  }
  return out;
}

function smoothedShares(total: Float64Array, yes: Float64Array): Float64Array {
  const share = new Float64Array(total.length);
  for (let hour = 0; hour < HOURS; hour++) {
    for (let month = 0; month < 12; month++) {
      let t = 0;
      let y = 0;
      for (const [shift, weight] of [
        [0, 1],
        [11, NEIGHBOUR_WEIGHT],
        [1, NEIGHBOUR_WEIGHT],
      ] as const) {
        const s = hour * 12 + ((month + shift) % 12);
        t += weight * (total[s] as number);
        y += weight * (yes[s] as number);
      }
      share[hour * 12 + month] = t > 0 ? y / t : 0;
    }
  }
  return share;
}
