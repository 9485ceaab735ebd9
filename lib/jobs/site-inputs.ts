import type { CodeMeaning, SiteRecords, Station } from "../core/records.ts";
import type { WeatherSeries } from "../core/weather-series.ts";
import { detectorWords } from "../store/detector-words.ts";
import { codeMeanings, siteRecords } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import { weatherSeries } from "../store/weather.ts";
import type { WetnessSeries } from "../weather/weather-state.ts";
import { wetness } from "../weather/wetness.ts";
import type { SitePlan } from "./score-plan.ts";

/** Weather of one station as scoring needs it: read once, wetness computed once, used by all of its sites. */
export interface StationWeather {
  series: WeatherSeries;
  wetness: WetnessSeries;
}

export interface SiteInput {
  plan: SitePlan;
  records: SiteRecords;
  weather: StationWeather | null;
  station: Station | null;
  /** Whether a person said that the detector is as before a repair, by `instant/cause` of the repair. */
  detectorWords: ReadonlyMap<string, boolean>;
}

export interface Batch {
  inputs: SiteInput[];
  meanings: Map<string, CodeMeaning>;
}

/** Station weather kept for the stations used last; a batch holds the sites of one station, so a few suffice. */
export class StationCache {
  readonly #kept = new Map<string, StationWeather | null>();
  readonly #most: number;
  constructor(most = 4) {
    this.#most = most;
  }

  async get(
    tx: Sql,
    station: Station & { version: number },
    site: SiteRecords["site"],
  ): Promise<StationWeather | null> {
    const key = `${station.stationId}@${station.version}`;
    const kept = this.#kept.get(key);
    if (kept !== undefined) return kept;
    const series = await weatherSeries(tx, station.stationId);
    // A station without coordinates is used only where a site names it; the sun is then the site's.
    const where = {
      latitude: station.latitude ?? site.latitude,
      longitude: station.longitude ?? site.longitude,
    };
    const made = series ? { series, wetness: wetness(series, where).wetness } : null;
    if (this.#kept.size >= this.#most) this.#kept.delete(this.#kept.keys().next().value as string);
    this.#kept.set(key, made);
    return made;
  }
}

/** Records and weather of a batch of planned sites, in the order of the plans; sites deleted meanwhile are left out. */
export async function readBatch(
  tx: Sql,
  plans: SitePlan[],
  known: Map<string, Station & { version: number }>,
  cache: StationCache,
): Promise<Batch> {
  const records = await siteRecords(
    tx,
    plans.map((p) => p.siteId),
  );
  const words = await detectorWords(
    tx,
    plans.map((p) => p.siteId),
  );
  const inputs: SiteInput[] = [];
  for (const plan of plans) {
    const own = records.get(plan.siteId);
    if (!own) continue;
    const station = plan.choice.kind === "station" ? (known.get(plan.choice.stationId) ?? null) : null;
    const weather = station ? await cache.get(tx, station, own.site) : null;
    inputs.push({ plan, records: own, weather, station, detectorWords: words.get(plan.siteId) ?? new Map() });
  }
  return { inputs, meanings: await codeMeanings(tx) };
}
