import type { LatLon } from "../core/earth.ts";
import type { CodeMeaning, Instant, SiteRecords, Station } from "../core/records.ts";
import type { WeatherSeries } from "../core/weather-series.ts";
import { detectorWords } from "../store/detector-words.ts";
import { keptWetness, type MadeFilms } from "../store/films.ts";
import { codeMeanings, siteRecords } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import { weatherSeries } from "../store/weather.ts";
import { blendStations, type StationAgreement, stationAgreement } from "../weather/blend-stations.ts";
import type { WetnessSeries } from "../weather/weather-state.ts";
import { sunByHour } from "../weather/wetness.ts";
import type { SitePlan } from "./score-plan.ts";

/** Weather of a site's stations as scoring needs it: read once, wetness computed once, used by all sites that share them. */
export interface StationWeather {
  series: WeatherSeries;
  wetness: WetnessSeries;
  /** How the helpers agree with the first station, and whether they stood in for it. */
  helpers: StationHelp[];
  filledHours: number;
  contradictedHours: number;
}

export interface StationHelp {
  stationId: string;
  kappa: number | null;
  isTrusted: boolean;
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

type VersionedStation = Station & { version: number };

/** Weather kept for the stations used last; a batch holds the sites of one choice of stations, so a few suffice. */
export class StationCache {
  readonly #kept = new Map<string, StationWeather | null>();
  readonly #series = new Map<string, WeatherSeries | null>();
  readonly #suns = new Map<string, Float32Array>();
  readonly #agreements = new Map<string, StationAgreement>();
  readonly #most: number;
  readonly #depthsFrom: Instant | undefined;
  #made: MadeFilms[] = [];

  /**
   * @param most choices of stations that are kept
   * @param depthsFrom how deep films were is wanted from here on; absent: of all hours
   */
  constructor({ most = 4, depthsFrom }: { most?: number; depthsFrom?: Instant } = {}) {
    this.#most = most;
    this.#depthsFrom = depthsFrom;
  }

  async get(
    tx: Sql,
    [first, ...helpers]: [VersionedStation, ...VersionedStation[]],
    site: SiteRecords["site"],
  ): Promise<StationWeather | null> {
    const key = [first, ...helpers].map(nameOf).join();
    const kept = this.#kept.get(key);
    if (kept !== undefined) return kept;
    const series = await this.#seriesOf(tx, first);
    const near = await Promise.all(helpers.map((h) => this.#seriesOf(tx, h)));
    // A station without coordinates is used only where a site names it; the sun is then the site's.
    const where = {
      latitude: first.latitude ?? site.latitude,
      longitude: first.longitude ?? site.longitude,
    };
    const others = helpers.flatMap((h, k) => {
      const own = near[k];
      return series && own ? [{ series: own, ...this.#agreement(series, own, `${nameOf(first)},${nameOf(h)}`) }] : [];
    });
    const made = series ? await this.#blended(tx, series, others, { where, isPlaced: first.latitude !== null }) : null;
    keep(this.#kept, key, made, this.#most);
    return made;
  }

  /** Films computed since the last call, for whoever may write them: in one order everywhere, for two may write the same. */
  takeMade(): MadeFilms[] {
    const key = ({ source }: MadeFilms) => [source.stationId, ...source.helpers].join();
    const made = this.#made.sort((a, b) => (key(a) < key(b) ? -1 : 1));
    this.#made = [];
    return made;
  }

  async #blended(
    tx: Sql,
    first: WeatherSeries,
    helpers: readonly (StationAgreement & { series: WeatherSeries })[],
    { where, isPlaced }: { where: LatLon; isPlaced: boolean },
  ): Promise<StationWeather> {
    const trusted = helpers.filter((h) => h.isTrusted).map((h) => h.series);
    const { series, filled, contradicted } = blendStations(first, trusted);
    const source = { stationId: first.stationId, helpers: trusted.map((s) => s.stationId) };
    const { wetness, made } = await keptWetness(tx, source, series, where, {
      sun: this.#sunOver(series, where),
      ...(this.#depthsFrom === undefined ? {} : { depthsFrom: this.#depthsFrom }),
    });
    // Films under the sun of one site are not those of the station.
    if (isPlaced && made.months.length > 0) this.#made.push(made);
    return {
      series,
      wetness,
      helpers: helpers.map(({ series: s, kappa, isTrusted }) => ({ stationId: s.stationId, kappa, isTrusted })),
      filledHours: filled,
      contradictedHours: contradicted,
    };
  }

  #agreement(first: WeatherSeries, other: WeatherSeries, key: string): StationAgreement {
    const agreement = this.#agreements.get(key) ?? stationAgreement(first, other);
    if (!this.#agreements.has(key)) keep(this.#agreements, key, agreement, MOST_AGREEMENTS);
    return agreement;
  }

  /** The same for every blend around one station. */
  #sunOver({ firstHour, hours }: WeatherSeries, where: LatLon): Float32Array {
    const key = [firstHour, hours, where.latitude, where.longitude].join();
    const sun = this.#suns.get(key) ?? sunByHour({ firstHour, hours }, where);
    if (!this.#suns.has(key)) keep(this.#suns, key, sun, 2);
    return sun;
  }

  async #seriesOf(tx: Sql, station: VersionedStation): Promise<WeatherSeries | null> {
    const key = nameOf(station);
    const kept = this.#series.get(key);
    if (kept !== undefined) return kept;
    const series = await weatherSeries(tx, station.stationId);
    keep(this.#series, key, series, SERIES_A_CHOICE * this.#most);
    return series;
  }
}

/** Stations kept for each choice that is: neighbours come again and again, and one is a megabyte of five years. */
const SERIES_A_CHOICE = 8;
const MOST_AGREEMENTS = 64;

const nameOf = (station: VersionedStation) => `${station.stationId}@${station.version}`;

function keep<T>(into: Map<string, T>, key: string, value: T, most: number): void {
  if (into.size >= most) into.delete(into.keys().next().value as string);
  into.set(key, value);
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
    const near = plan.choice.kind === "station" ? plan.choice.helpers.flatMap((h) => known.get(h.stationId) ?? []) : [];
    const weather = station ? await cache.get(tx, [station, ...near], own.site) : null;
    inputs.push({ plan, records: own, weather, station, detectorWords: words.get(plan.siteId) ?? new Map() });
  }
  return { inputs, meanings: await codeMeanings(tx) };
}
