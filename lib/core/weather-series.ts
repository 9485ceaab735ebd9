import type { Instant } from "./records.ts";

/** Hours since the epoch; hour `h` is the hour that ENDS at `h * 3,600,000` ms. */
export type HourIndex = number;
export const HOUR_MS = 3_600_000;

/** The hour that contains an instant: the first full hour at or after it. */
export function hourOf(at: Instant): HourIndex {
  return Math.ceil(at / HOUR_MS);
}

/** Thunder of an hour: 1 heard or seen, 0 observed and absent, -1 unknown (unknown thunder does not make an hour unknown). */
export type Thunder = -1 | 0 | 1;

/**
 * Hourly weather of one station, gap-free in time, NaN where an element was not observed.
 * Index i is the hour that ends at `(firstHour + i) * HOUR_MS`. All arrays have length `hours`.
 */
export interface WeatherSeries {
  stationId: string;
  firstHour: HourIndex;
  hours: number;
  /** mm in the hour; a trace is 0.05; NaN: not observed (never to be read as dry). */
  precipitationMm: Float32Array;
  /** °C. */
  temperatureC: Float32Array;
  /** °C, with respect to water. */
  dewPointC: Float32Array;
  /** 0 to 100 %. */
  relativeHumidityPct: Float32Array;
  /** m/s. */
  windMs: Float32Array;
  thunder: Int8Array;
}

/** An empty series with every hour unknown. */
export function unknownSeries(stationId: string, firstHour: HourIndex, hours: number): WeatherSeries {
  const nan = () => new Float32Array(hours).fill(Number.NaN);
  return {
    stationId,
    firstHour,
    hours,
    precipitationMm: nan(),
    temperatureC: nan(),
    dewPointC: nan(),
    relativeHumidityPct: nan(),
    windMs: nan(),
    thunder: new Int8Array(hours).fill(-1),
  };
}
