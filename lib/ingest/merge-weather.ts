import type { RowParser } from "../contract/row-parser.ts";
import { HOUR_MS, type HourIndex, unknownSeries, type WeatherSeries } from "../core/weather-series.ts";
import type { Sql } from "../store/transaction.ts";
import { weatherSeries } from "../store/weather.ts";
import { WEATHER_COLUMNS } from "../weather/formats/hour-fold.ts";
import { monthOf, packMonth } from "../weather/packing.ts";
import { STAGING } from "./stage.ts";

const BATCH = 20_000;

/** Contract column and the element of the series that it fills. */
const ELEMENTS = [
  ["precipitation_mm", "precipitationMm"],
  ["temperature_c", "temperatureC"],
  ["dew_point_c", "dewPointC"],
  ["relative_humidity_pct", "relativeHumidityPct"],
  ["wind_m_s", "windMs"],
] as const;

interface StagedHour {
  station_id: string;
  hour: HourIndex;
  thunder: number | null;
  [column: string]: string | number | null;
}

/**
 * Merge staged hours into the packed months, month by month. An hour counts as accepted when one of its values at the
 * stored resolution is new or changed.
 * @returns rows accepted, and the stations that are known by their weather only
 */
export async function mergeWeather(
  tx: Sql,
  columns: RowParser["columns"],
): Promise<{ accepted: number; unplaced: string[] }> {
  const present = new Set(columns.map((c) => c.name));
  await tx.unsafe(`CREATE INDEX ON ${STAGING} (station_id, observed_at)`);
  const made = await tx.unsafe<{ station_id: string }[]>(`
    INSERT INTO station (account_id, station_id) SELECT DISTINCT current_account(), station_id FROM ${STAGING}
    ON CONFLICT DO NOTHING RETURNING station_id`);
  const month = new OpenMonth(tx, present);
  let after: { station: string; hour: number } = { station: "", hour: 0 };
  for (;;) {
    const rows = await nextHours(tx, present, after);
    for (const row of rows) await month.put(row);
    const last = rows.at(-1);
    if (!last) break;
    after = { station: last.station_id, hour: last.hour };
  }
  await month.close();
  await tx.unsafe(`
    INSERT INTO data_horizon AS t (account_id, weather_at) SELECT current_account(), max(observed_at) FROM ${STAGING} HAVING max(observed_at) IS NOT NULL
    ON CONFLICT (account_id) DO UPDATE SET weather_at = greatest(t.weather_at, excluded.weather_at)`);
  return { accepted: month.accepted, unplaced: made.map((row) => row.station_id).sort() };
}

/**
 * Merge hours of a weather service, given as rows of weather.csv by station and time. What the service did not report
 * leaves a stored value alone: silence of a feed must not erase what an archive told.
 * @returns hours of which a value is new or changed
 */
export async function mergeReportedHours(tx: Sql, rows: readonly (readonly string[])[]): Promise<number> {
  const month = new OpenMonth(tx, new Set([...ELEMENTS.map(([column]) => column), "thunder"]), true);
  for (const cells of rows) {
    const row = Object.fromEntries(
      WEATHER_COLUMNS.map((column, i) => [column, i < 2 ? cells[i] : cells[i] === "" ? null : Number(cells[i])]),
    );
    await month.put({ ...row, hour: Date.parse(cells[1] as string) / HOUR_MS } as unknown as StagedHour);
  }
  await month.close();
  const newest = Math.max(...rows.map((cells) => Date.parse(cells[1] as string)));
  if (rows.length > 0) {
    await tx`
      INSERT INTO data_horizon AS t (account_id, weather_at) VALUES (current_account(), ${new Date(newest)})
      ON CONFLICT (account_id) DO UPDATE SET weather_at = greatest(t.weather_at, excluded.weather_at)`;
  }
  return month.accepted;
}

async function nextHours(
  tx: Sql,
  present: ReadonlySet<string>,
  after: { station: string; hour: number },
): Promise<StagedHour[]> {
  const elements = [...ELEMENTS.map(([column]) => column), "thunder"].map((c) =>
    present.has(c) ? `"${c}"` : `NULL::float8 AS "${c}"`,
  );
  return tx.unsafe<StagedHour[]>(
    `SELECT station_id, (extract(epoch FROM observed_at) / 3600)::integer AS hour, ${elements.join(", ")} FROM ${STAGING}
     WHERE (station_id, observed_at) > ($1, to_timestamp($2::float8 * 3600)) ORDER BY station_id, observed_at LIMIT ${BATCH}`,
    [after.station, after.hour],
  );
}

/** The month being filled; hours come by station and time, so each month is read and written once. */
class OpenMonth {
  accepted = 0;
  readonly #tx: Sql;
  readonly #present: ReadonlySet<string>;
  readonly #keepsKnown: boolean;
  #station = "";
  #month = "";
  #series: WeatherSeries | null = null;
  #changed = false;
  #changedStation = "";

  /** @param keepsKnown true: an unknown value leaves a stored one alone */
  constructor(tx: Sql, present: ReadonlySet<string>, keepsKnown = false) {
    this.#tx = tx;
    this.#present = present;
    this.#keepsKnown = keepsKnown;
  }

  async put(row: StagedHour): Promise<void> {
    const { month, firstHour, hours } = monthOf(row.hour);
    if (row.station_id !== this.#station || month !== this.#month) {
      await this.#write();
      this.#station = row.station_id;
      this.#month = month;
      const inside = new Date((firstHour - 0.5) * HOUR_MS);
      this.#series =
        (await weatherSeries(this.#tx, row.station_id, { from: inside, to: inside }, true)) ??
        unknownSeries(row.station_id, firstHour, hours);
    }
    const series = this.#series as WeatherSeries;
    if (this.#fill(series, row.hour - series.firstHour, row)) {
      this.accepted++;
      this.#changed = true;
    }
  }

  #fill(series: WeatherSeries, i: number, row: StagedHour): boolean {
    let changed = false;
    for (const [column, element] of ELEMENTS) {
      if (!this.#present.has(column)) continue;
      const given = row[column] as number | null;
      if (given === null && this.#keepsKnown) continue;
      const next = given === null ? Number.NaN : Math.round(given * 100) / 100;
      const held = series[element][i] as number;
      const same = Number.isNaN(next) ? Number.isNaN(held) : Math.round(held * 100) === Math.round(next * 100);
      if (!same) {
        series[element][i] = next;
        changed = true;
      }
    }
    if (this.#present.has("thunder")) {
      const next = row.thunder === null ? -1 : row.thunder;
      if (!(next === -1 && this.#keepsKnown) && series.thunder[i] !== next) {
        series.thunder[i] = next;
        changed = true;
      }
    }
    return changed;
  }

  async close(): Promise<void> {
    await this.#write();
  }

  async #write(): Promise<void> {
    if (!this.#series || !this.#changed) return;
    const p = packMonth(this.#series, this.#month);
    const buffer = (bytes: Uint8Array) => Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    await this.#tx`
      INSERT INTO weather_month (account_id, station_id, month, precipitation, temperature, dew_point, humidity, wind, thunder)
      VALUES (current_account(), ${this.#station}, ${`${this.#month}-01`}::date, ${buffer(p.precipitation)}, ${buffer(p.temperature)},
        ${buffer(p.dewPoint)}, ${buffer(p.humidity)}, ${buffer(p.wind)}, ${buffer(p.thunder)})
      ON CONFLICT (account_id, station_id, month) DO UPDATE SET precipitation = excluded.precipitation, temperature = excluded.temperature,
        dew_point = excluded.dew_point, humidity = excluded.humidity, wind = excluded.wind, thunder = excluded.thunder`;
    if (this.#changedStation !== this.#station) {
      await this
        .#tx`UPDATE station SET version = version + 1 WHERE account_id = current_account() AND station_id = ${this.#station}`;
      this.#changedStation = this.#station;
    }
    this.#changed = false;
  }
}
