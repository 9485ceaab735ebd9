import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { isoInZone, localDay, parseIsoTime } from "../core/zoned-time.ts";
import type { Actor } from "../store/actor.ts";
import { dataHorizon, sitesOf, stations } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { weatherSeries } from "../store/weather.ts";
import { blendStations } from "../weather/blend-stations.ts";
import { wetness } from "../weather/wetness.ts";
import { QueryTime } from "./query-time.ts";
import { detailOf } from "./site.ts";
import type { SiteDetail } from "./site-detail.ts";
import type { SiteTimeline } from "./site-view.ts";

const DAY_MS = 86_400_000;
const HOURLY_UP_TO_DAYS = 31;
const LONGEST_DAYS = 10 * 366;
const LEAD_IN_DAYS = 14;

/** Span of the picture; either end may be left out. */
export const TimelineQuery = z.object({ from: QueryTime.optional(), to: QueryTime.optional() });
export type TimelineQuery = z.infer<typeof TimelineQuery>;

/**
 * Water and ground faults of a span, by the hour up to 31 days and by local day beyond. Every episode in the span is
 * kept, however long the span.
 * @param span epoch ms; default: the twelve months up to the data's horizon
 */
export async function readSiteTimeline(
  actor: Actor,
  siteId: string,
  span: TimelineQuery = {},
): Promise<SiteTimeline | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const site = (await sitesOf(tx, [siteId])).get(siteId);
    if (!site) return null;
    const to = span.to ?? (await dataHorizon(tx, Date.now())) ?? Date.now();
    const from = Math.max(span.from ?? to - 365 * DAY_MS, to - LONGEST_DAYS * DAY_MS);
    const detail = await detailOf(tx, siteId);
    const water = await waterHours(tx, site, detail.station, { from, to });
    const faults = detail.episodes
      .filter((e) => e.onset <= to && (e.end ?? e.onset) >= from)
      .map((e) => ({
        onset: isoInZone(e.onset, site.timeZone),
        end: e.end === null ? null : isoInZone(e.end, site.timeZone),
        wet: e.wet,
        label: `${e.inverterIds.join(", ")}, ${e.state}, ${e.rows} row${e.rows === 1 ? "" : "s"}`,
      }));
    const hourly = to - from <= HOURLY_UP_TO_DAYS * DAY_MS;
    const steps = hourly ? hourSteps(water, site.timeZone) : daySteps(water, site.timeZone);
    return {
      step: hourly ? "hour" : "day",
      timeZone: site.timeZone,
      logFrom: logFrom(detail, site.timeZone),
      ...steps,
      faults,
    } as SiteTimeline;
  });
}

const logFrom = ({ window }: SiteDetail, zone: string) => (window ? isoInZone(window.from, zone) : null);

interface WaterHours {
  /** Hour index of the first entry; each entry is the hour that ends there. */
  first: number;
  rainMm: (number | null)[];
  filmMm: (number | null)[];
}

async function waterHours(
  tx: Sql,
  site: { latitude: number; longitude: number },
  { stationId, trusted }: SiteDetail["station"],
  { from, to }: { from: number; to: number },
): Promise<WaterHours> {
  const first = Math.floor(from / HOUR_MS) + 1;
  const last = Math.floor(to / HOUR_MS);
  const out: WaterHours = { first, rainMm: [], filmMm: [] };
  const station = stationId === null ? undefined : (await stations(tx)).get(stationId);
  // A film takes days to settle from an unknown start, so the read begins before the span.
  const span = { from: new Date(from - LEAD_IN_DAYS * DAY_MS), to: new Date(to) };
  const own = station ? await weatherSeries(tx, station.stationId, span) : null;
  const others = await Promise.all(trusted.map((id) => weatherSeries(tx, id, span)));
  const series =
    own &&
    blendStations(
      own,
      others.flatMap((s) => s ?? []),
    ).series;
  const where = { latitude: station?.latitude ?? site.latitude, longitude: station?.longitude ?? site.longitude };
  const wet = series ? wetness(series, where).wetness : null;
  const known = (value: number | undefined) =>
    value === undefined || Number.isNaN(value) ? null : Math.round(value * 100) / 100;
  for (let hour = first; hour <= last; hour++) {
    const i = series ? hour - series.firstHour : -1;
    out.rainMm.push(known(series?.precipitationMm[i]));
    const films = [known(wet?.rainFilmMm[i]), known(wet?.dewFilmMm[i])];
    out.filmMm.push(films.includes(null) ? null : Math.max(films[0] as number, films[1] as number));
  }
  return out;
}

function hourSteps(water: WaterHours, zone: string) {
  return { from: isoInZone((water.first - 1) * HOUR_MS, zone), rainMm: water.rainMm, filmMm: water.filmMm };
}

/** By local day. A day with any unknown hour shows what is known of it; a day with none is null. */
function daySteps(water: WaterHours, zone: string) {
  const days: string[] = [];
  const rainMm: (number | null)[] = [];
  const filmMm: (number | null)[] = [];
  for (let k = 0; k < water.rainMm.length; k++) {
    const day = localDay((water.first + k) * HOUR_MS - 1, zone);
    if (days.at(-1) !== day) {
      days.push(day);
      rainMm.push(null);
      filmMm.push(null);
    }
    const at = days.length - 1;
    const rain = water.rainMm[k] ?? null;
    const film = water.filmMm[k] ?? null;
    if (rain !== null) rainMm[at] = Math.round(((rainMm[at] ?? 0) + rain) * 100) / 100;
    if (film !== null) filmMm[at] = Math.max(filmMm[at] ?? 0, film);
  }
  const midnight = days[0] ? parseIsoTime(`${days[0]}T00:00`, zone) : null;
  return { from: midnight?.ok ? isoInZone(midnight.at, zone) : new Date(0).toISOString(), rainMm, filmMm };
}
