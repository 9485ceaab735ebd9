import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Station } from "../core/records.ts";
import { HOUR_MS, hourOf, type WeatherSeries } from "../core/weather-series.ts";
import type { Actor } from "../store/actor.ts";
import { keptWetness } from "../store/films.ts";
import { stations } from "../store/site-records.ts";
import { readMayLag, type Sql } from "../store/transaction.ts";
import { weatherSeries } from "../store/weather.ts";
import type { WeatherDocument } from "./documents.ts";
import { QueryTime } from "./query-time.ts";

const LONGEST_DAYS = 3660;
export const WeatherQuery = z
  .object({ from: QueryTime, to: QueryTime })
  .refine((q) => q.from < q.to, { path: ["to"], message: "must be after from" })
  .refine((q) => q.to - q.from <= LONGEST_DAYS * 86_400_000, { path: ["to"], message: "at most ten years at once" });
export type WeatherQuery = z.infer<typeof WeatherQuery>;

/**
 * Hours of a station that end after `from` and at or before `to`, as stored, with whether an array would be wet.
 * @throws AppError `not_found` when the station is unknown
 */
export async function readWeather(actor: Actor, stationId: string, query: WeatherQuery): Promise<WeatherDocument> {
  authorise(actor, "weather.read");
  const { station, series, wet } = await readMayLag(actor, async (tx) => {
    const known = (await stations(tx)).get(stationId);
    const stored = await weatherSeries(tx, stationId);
    return { station: known, series: stored, wet: known && stored ? await wetHours(tx, known, stored) : null };
  });
  if (!station)
    throw new AppError("not_found", {
      message: `There is no station "${stationId}". Import stations.csv or weather of it first.`,
    });
  const first = Math.floor(query.from / HOUR_MS) + 1;
  const last = Math.floor(query.to / HOUR_MS);
  const hours: WeatherDocument["hours"] = [];
  const totals = { precipitation_mm: 0, known_hours: 0, unknown_hours: 0 };
  for (let hour = Math.max(first, hourOf(query.from)); hour <= last; hour++) {
    const i = series ? hour - series.firstHour : -1;
    const inside = series !== null && i >= 0 && i < series.hours;
    const value = (of: Float32Array | undefined) => (inside && of ? known(of[i]) : null);
    const precipitation = value(series?.precipitationMm);
    if (precipitation === null) totals.unknown_hours++;
    else {
      totals.known_hours++;
      totals.precipitation_mm += precipitation;
    }
    const thunder = inside ? series.thunder[i] : -1;
    const wetCode = inside && wet ? wet[i] : 255;
    hours.push({
      observed_at: new Date(hour * HOUR_MS).toISOString(),
      precipitation_mm: precipitation,
      temperature_c: value(series?.temperatureC),
      dew_point_c: value(series?.dewPointC),
      wind_m_s: value(series?.windMs),
      thunder: thunder === 0 || thunder === 1 ? thunder : null,
      wet: wetCode === 255 ? null : wetCode === 1,
    });
  }
  totals.precipitation_mm = Math.round(totals.precipitation_mm * 100) / 100;
  return { station_id: stationId, hours, totals };
}

/** Wet, dry or unknown an hour; null without coordinates, for the sun is unknown then, so drying is too. */
async function wetHours(tx: Sql, { stationId, latitude, longitude }: Station, series: WeatherSeries) {
  if (latitude === null || longitude === null) return null;
  const { wetness } = await keptWetness(tx, { stationId, helpers: [] }, series, { latitude, longitude });
  return wetness.wet;
}

/** float32 to the two decimals that are stored; NaN to null. */
function known(value: number | undefined): number | null {
  return value === undefined || Number.isNaN(value) ? null : Math.round(value * 100) / 100;
}
