import "server-only";
import type { LatLon } from "../core/earth.ts";
import type { Site, Station } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import type { OutlookHour } from "../dispatch/routes/plan-input.ts";
import {
  climateHours,
  forecastFilm,
  GUST_FACTOR,
  ROOF_GUST_MS,
  ROOF_RAIN_MM,
  type RoofPast,
  roofPast,
} from "../dispatch/routes/roof-climate.ts";
import { stations } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import { weatherSeries } from "../store/weather.ts";
import { type SiteForecast, siteForecasts } from "../store/weather-feed.ts";
import { chooseStation } from "../weather/station-choice.ts";

/**
 * A stored forecast as the hours that a plan looks at; what the service does not say stays unknown.
 * @param where the site, for the sun that dries its roof; absent: no film is carried into the hours
 * @param past weather of its station, from whose last hour the water is carried on
 */
export function planOutlook(
  { forecast }: SiteForecast,
  where: LatLon | null = null,
  past: RoofPast | null = null,
): OutlookHour[] {
  const share = (pct: number | null | undefined) => (pct === null || pct === undefined ? null : pct / 100);
  const number = (value: number | null | undefined) => value ?? Number.NaN;
  const films = where
    ? forecastFilm(
        past,
        Array.from({ length: forecast.hours }, (_, i) => ({
          hour: forecast.firstHour + i,
          precipitationMm: number(forecast.precipitationMm[i]),
          temperatureC: number(forecast.temperatureC[i]),
          windMs: number(forecast.windMs[i]),
        })),
        where,
      )
    : [];
  return Array.from({ length: forecast.hours }, (_, i) => {
    const wind = forecast.windMs[i] ?? null;
    const depth = forecast.precipitationMm[i] ?? null;
    return {
      at: (forecast.firstHour + i) * HOUR_MS,
      // A service that gives a depth and no chance means that it will fall.
      rainProbability:
        share(forecast.precipitationProbabilityPct[i]) ?? (depth === null ? null : depth > ROOF_RAIN_MM ? 1 : 0),
      gustProbability: wind === null ? null : wind * GUST_FACTOR > ROOF_GUST_MS ? 1 : 0,
      thunderProbability: share(forecast.thunderProbabilityPct[i]),
      filmMm: films[i] ?? null,
      temperatureC: forecast.temperatureC[i] ?? null,
      basis: "forecast" as const,
    };
  });
}

/** Stations whose past is kept in memory, by name and version. */
const MOST_KEPT = 300;
const kept = new Map<string, RoofPast | null>();

/** Past weather of the station that a site takes its weather from; null: it has none. */
async function pastOf(
  tx: Sql,
  site: Site,
  known: ReadonlyMap<string, Station & { version: number }>,
): Promise<RoofPast | null> {
  const choice = chooseStation(site, [...known.values()]);
  const station = choice.kind === "station" ? known.get(choice.stationId) : undefined;
  if (!station) return null;
  const where = { latitude: station.latitude ?? site.latitude, longitude: station.longitude ?? site.longitude };
  const [row] = await tx<{ account: number }[]>`SELECT current_account() AS account`;
  const key = JSON.stringify([row?.account, station.stationId, station.version, where]);
  const found = kept.get(key);
  if (found !== undefined) return found;
  const series = await weatherSeries(tx, station.stationId);
  const past = series ? roofPast(series, where) : null;
  if (kept.size >= MOST_KEPT) kept.delete(kept.keys().next().value as string);
  kept.set(key, past);
  return past;
}

/**
 * What is expected of the hours at sites: the forecast where there is one, with the water that it leaves on surfaces,
 * and of roofs the water that lies there already; for roof work beyond it, how such hours were in past years.
 *
 * @param roofs sites with roof work
 * @param from first hour wanted, by its end, hours since the epoch; `to` is the last
 * @returns by site; a site of which nothing is known is not in it
 */
export async function siteOutlooks(
  tx: Sql,
  sites: ReadonlyMap<string, Site>,
  roofs: ReadonlySet<string>,
  { from, to }: { from: number; to: number },
): Promise<Map<string, OutlookHour[]>> {
  const forecasts = await siteForecasts(tx, [...sites.keys()]);
  const known = roofs.size > 0 ? await stations(tx) : new Map();
  const outlooks = new Map<string, OutlookHour[]>();
  for (const [siteId, site] of sites) {
    const forecast = forecasts.get(siteId);
    if (!roofs.has(siteId)) {
      if (forecast) outlooks.set(siteId, planOutlook(forecast, site));
      continue;
    }
    const past = await pastOf(tx, site, known);
    const ahead = forecast ? planOutlook(forecast, site, past) : [];
    const last = (ahead.at(-1)?.at ?? Number.NEGATIVE_INFINITY) / HOUR_MS;
    const first = (ahead[0]?.at ?? Number.POSITIVE_INFINITY) / HOUR_MS;
    const before = past ? climateHours(past, from, Math.min(to, first - 1)) : [];
    const after = past && ahead.length > 0 ? climateHours(past, Math.max(from, last + 1), to) : [];
    const hours = [...before, ...ahead, ...after];
    if (hours.length > 0) outlooks.set(siteId, hours);
  }
  return outlooks;
}
