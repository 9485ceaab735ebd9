import { HOUR_MS, type HourIndex, hourOf } from "../../core/weather-series.ts";

/** What one report says of an hour; null: not observed. */
export interface HourReport {
  stationId: string;
  /** Instant of the report, epoch ms. */
  at: number;
  precipitationMm: number | null;
  temperatureC: number | null;
  dewPointC: number | null;
  relativeHumidityPct: number | null;
  windMs: number | null;
  thunder: 0 | 1 | null;
  /** A routine report is the hour's own; a special only adds what it is sure of. */
  routine: boolean;
}

/** A line of a published file as cells of the contract's weather.csv, or why it gives none. */
export type WeatherLine = { cells: string[] } | { reason: string } | null;

/** Columns of the cells, those of the contract's weather.csv. */
export const WEATHER_COLUMNS = [
  "station_id",
  "observed_at",
  "precipitation_mm",
  "temperature_c",
  "dew_point_c",
  "relative_humidity_pct",
  "wind_m_s",
  "thunder",
] as const;

/** A trace: less than can be measured, and wet. */
export const TRACE_MM = 0.05;
/** Winds, temperatures and humidities beyond these are errors of an instrument or a typist, and are dropped. */
const POSSIBLE = {
  windMs: [0, 115],
  temperatureC: [-95, 65],
  dewPointC: [-110, 45],
  relativeHumidityPct: [0, 105],
  precipitationMm: [0, 320],
} as const;
/**
 * Hours of stations that further reports are folded into; the oldest is let go, so that a file of any length needs little
 * memory. Enough for a few hours of every station there is, because archives are sorted by time too.
 */
const OPEN_HOURS = 20_000;

/** What was met on the way and dealt with, by what it is; for the report of the import. */
export type Met = Map<string, number>;

export function meet(met: Met, what: string): void {
  met.set(what, (met.get(what) ?? 0) + 1);
}

/**
 * Folds the reports of an hour into one. Each report gives the hour as it stands so far, so the last line of an hour is
 * the hour, and every line of the file is counted.
 *
 * Precipitation is the routine report's total; where that has none it is the largest running total of the specials,
 * never a sum. A special without a total says nothing of the hour's rain. Temperature, humidity and wind are the routine
 * report's where there is one. Thunder in any report is thunder in the hour.
 */
export class HourFold {
  readonly #open = new Map<string, HourReport>();
  readonly #met: Met;

  constructor(met: Met) {
    this.#met = met;
  }

  add(report: HourReport): string[] {
    const clean = possible(report, this.#met);
    if (!report.routine) meet(this.#met, "special reports, folded into their hour and never summed");
    if (clean.precipitationMm === TRACE_MM) meet(this.#met, `traces of precipitation, read as ${TRACE_MM} mm and wet`);
    if (clean.precipitationMm === null && report.routine)
      meet(this.#met, "routine reports without a precipitation observation, left unknown");
    const hour = hourOf(report.at);
    const key = `${report.stationId}/${hour}`;
    const before = this.#open.get(key);
    const now = before ? merged(before, clean) : clean;
    this.#open.set(key, now);
    if (this.#open.size > OPEN_HOURS) this.#open.delete(this.#open.keys().next().value as string);
    return hourCells(now, hour);
  }
}

function possible(report: HourReport, met: Met): HourReport {
  const out = { ...report };
  for (const [name, [low, high]] of Object.entries(POSSIBLE)) {
    const key = name as keyof typeof POSSIBLE;
    const value = out[key];
    if (value !== null && !(value >= low && value <= high)) {
      out[key] = null;
      meet(met, "values that cannot be (such as a wind of 1,048 mph), left unknown");
    }
  }
  return out;
}

function merged(a: HourReport, b: HourReport): HourReport {
  const [main, other] = b.routine || !a.routine ? [b, a] : [a, b];
  return {
    ...main,
    precipitationMm: main.routine && !other.routine ? (main.precipitationMm ?? other.precipitationMm) : larger(a, b),
    temperatureC: main.temperatureC ?? other.temperatureC,
    dewPointC: main.dewPointC ?? other.dewPointC,
    relativeHumidityPct: main.relativeHumidityPct ?? other.relativeHumidityPct,
    windMs: main.windMs ?? other.windMs,
    thunder: a.thunder === 1 || b.thunder === 1 ? 1 : (a.thunder ?? b.thunder),
    routine: a.routine || b.routine,
  };
}

function larger({ precipitationMm: a }: HourReport, { precipitationMm: b }: HourReport): number | null {
  return a === null ? b : b === null ? a : Math.max(a, b);
}

function hourCells(r: HourReport, hour: HourIndex): string[] {
  const show = (value: number | null) => (value === null ? "" : String(Math.round(value * 100) / 100));
  return [
    r.stationId,
    new Date(hour * HOUR_MS).toISOString(),
    show(r.precipitationMm),
    show(r.temperatureC),
    show(r.dewPointC),
    show(r.relativeHumidityPct),
    show(r.windMs),
    r.thunder === null ? "" : String(r.thunder),
  ];
}

export const knotsToMs = (knots: number | null): number | null => (knots === null ? null : knots * 0.514444);
export const mphToMs = (mph: number | null): number | null => (mph === null ? null : mph * 0.44704);
export const fahrenheitToC = (f: number | null): number | null => (f === null ? null : ((f - 32) * 5) / 9);
export const inchesToMm = (inches: number | null): number | null => (inches === null ? null : inches * 25.4);
