import type { LatLon } from "../core/earth.ts";
import type { Instant } from "../core/records.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import { sunAngles, sunElevationDeg } from "./sun-position.ts";

/** Below this the array gives too little to energise a fault path or wake an inverter; engineering judgement. */
export const ENERGIZED_ELEVATION_DEG = 2;

/** Hour of the local apparent solar day, 0 to 23; solar noon begins hour 12. */
export function solarHour(at: Instant, longitude: number): number {
  return Math.floor((sunAngles(at, longitude).hourAngleDeg + 180) / 15) % 24;
}

/**
 * Hours in which the array can be energised: the sun is above the limit at the middle of the hour.
 * @returns 1 or 0 an hour; index i is the hour that ends at `(firstHour + i) * HOUR_MS`
 */
export function energizedHours(
  firstHour: HourIndex,
  hours: number,
  where: LatLon,
  minElevationDeg: number = ENERGIZED_ELEVATION_DEG,
): Uint8Array {
  const out = new Uint8Array(hours);
  for (let i = 0; i < hours; i++) {
    if (sunElevationDeg((firstHour + i - 0.5) * HOUR_MS, where) > minElevationDeg) out[i] = 1;
  }
  return out;
}

/**
 * The next instant at or after `at` when the sun goes below the limit, to about a second.
 * @returns `at` itself when it is already below; null when it stays above for 24 h (polar summer)
 */
export function nightfallAfter(
  at: Instant,
  where: LatLon,
  elevationDeg: number = ENERGIZED_ELEVATION_DEG,
): Instant | null {
  const below = (t: Instant) => sunElevationDeg(t, where) <= elevationDeg;
  if (below(at)) return at;
  const step = 10 * 60_000;
  for (let lo = at; lo < at + 24 * HOUR_MS; lo += step) {
    if (!below(lo + step)) continue;
    let a = lo;
    let b = lo + step;
    while (b - a > 500) {
      const mid = (a + b) / 2;
      if (below(mid)) b = mid;
      else a = mid;
    }
    return Math.round(b);
  }
  return null;
}

/** Whether the array loses the sun within `ms` of an instant, before or after it, or is in the dark. */
export function sunDownWithin(at: Instant, where: LatLon, ms: number): boolean {
  const limit = ENERGIZED_ELEVATION_DEG;
  return sunElevationDeg(at, where) <= limit || sunElevationDeg(at + ms, where) <= limit;
}
