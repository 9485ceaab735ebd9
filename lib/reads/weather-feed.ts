import "server-only";
import { authorise } from "../core/permissions.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { weatherFeed } from "../jobs/weather-run.ts";
import type { Actor } from "../store/actor.ts";
import { stations } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import { feedStations, newestFeedRun } from "../store/weather-feed.ts";
import type { WeatherFeedView } from "./weather-feed-view.ts";

const OFF =
  "No weather service is set, so weather comes from files alone. To fetch it hour by hour, set RAINTRIP_WEATHER_URL and RAINTRIP_WEATHER_CONTACT and start again.";
const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString());

/** State of the weather feed, its newest run, and how fresh each station is. */
export async function readWeatherFeed(actor: Actor): Promise<WeatherFeedView> {
  authorise(actor, "weather_feed.read");
  const configured = weatherFeed();
  const { asked, known, run } = await readTransaction(actor, async (tx) => ({
    asked: await feedStations(tx),
    known: await stations(tx),
    run: await newestFeedRun(tx),
  }));
  return {
    state: configured.kind,
    says:
      configured.kind === "off" ? OFF : configured.kind === "wrong" ? `${configured.says}. Nothing is fetched.` : null,
    service: configured.kind === "on" ? configured.settings.baseUrl.host : null,
    run: run && {
      status: run.status,
      requestedAt: new Date(run.requestedAt).toISOString(),
      requestedBy: run.requestedBy,
      stationsDone: run.stationsDone,
      stationsTotal: run.stationsTotal,
      requests: run.requests,
      hoursChanged: run.hoursChanged,
      says: run.says,
      quietUntil: iso(run.quietUntil),
    },
    stations: [...asked.values()]
      .map((s) => ({
        stationId: s.stationId,
        name: known.get(s.stationId)?.name ?? null,
        lastHour: iso(s.lastHour === null ? null : s.lastHour * HOUR_MS),
        askedAt: iso(s.askedAt),
        error: s.error,
      }))
      .sort((a, b) => (a.stationId < b.stationId ? -1 : 1)),
    now: new Date().toISOString(),
  };
}
