import "server-only";
import { csvLine, guarded } from "../contract/csv-records.ts";
import type { ColumnSpec, FileSpec } from "../contract/file-spec.ts";
import { CONTRACT_FILES } from "../contract/files.ts";
import { HOUR_MS, type WeatherSeries } from "../core/weather-series.ts";
import { localDay } from "../core/zoned-time.ts";
import type { PartSource } from "../report/write-evidence.ts";
import type { Sql } from "../store/transaction.ts";
import { weatherSeries } from "../store/weather.ts";

const PAGE = 2000;

/** Which records of the account belong to the evidence of one site. */
export interface EvidenceScope {
  siteId: string;
  timeZone: string;
  /** Its station and those that stood in for it. */
  stationIds: string[];
  /** Span of its log, epoch ms; null: no log. */
  window: { from: number; to: number } | null;
}

/** The files of the contract that make up a site's records, in its own column names; crews are nobody's evidence. */
export function recordParts(tx: Sql, scope: EvidenceScope): PartSource[] {
  return CONTRACT_FILES.filter((spec) => spec.kind !== "crews").map((spec) => {
    let rows = 0;
    const lines = spec.kind === "weather" ? weatherLines(tx, scope, spec) : tableLines(tx, scope, spec);
    async function* chunks() {
      yield csvLine(spec.columns.map((c) => c.name));
      for await (const batch of lines) {
        rows += batch.length;
        yield batch.map((cells) => csvLine(cells.map(guarded))).join("");
      }
    }
    return { file: `${spec.kind}.csv`, chunks, rows: () => rows };
  });
}

async function* tableLines(tx: Sql, scope: EvidenceScope, spec: FileSpec): AsyncGenerator<string[][]> {
  const own = spec.columns.map((c) => (c.sql === "date" ? `"${c.name}"::text AS "${c.name}"` : `"${c.name}"`));
  const dayOnly = spec.columns.flatMap((c) => (c.read.kind === "moment" ? [`"${c.read.dayOnlyColumn}"`] : []));
  const keys = spec.columns.filter((c) => c.key).map((c) => `"${c.name}"`);
  const { where, value } = belonging(scope, spec);
  const query = `SELECT ${[...own, ...dayOnly].join(", ")} FROM ${spec.table}
    WHERE account_id = current_account() AND ${where} ORDER BY ${keys.join(", ")}`;
  for await (const rows of tx.unsafe<Record<string, unknown>[]>(query, [value]).cursor(PAGE))
    yield rows.map((row) => spec.columns.map((c) => cellOf(row, c, scope.timeZone)));
}

function belonging(scope: EvidenceScope, spec: FileSpec): { where: string; value: string | string[] } {
  // A station known by its weather only has no place and is no row of stations.csv.
  if (spec.kind === "stations")
    return {
      where: "station_id = ANY($1) AND latitude IS NOT NULL AND longitude IS NOT NULL",
      value: scope.stationIds,
    };
  if (spec.kind === "codes")
    return {
      where: `code_system IN (SELECT code_system FROM inverter WHERE account_id = current_account() AND site_id = $1
        UNION SELECT code_system FROM fault WHERE account_id = current_account() AND site_id = $1)`,
      value: scope.siteId,
    };
  return { where: "site_id = $1", value: scope.siteId };
}

/** As an import would read it back to the same value; empty: unknown. */
function cellOf(row: Record<string, unknown>, column: ColumnSpec, timeZone: string): string {
  const value = row[column.name];
  if (value === null || value === undefined) return "";
  if (!(value instanceof Date)) return String(value);
  if (column.read.kind === "moment" && row[column.read.dayOnlyColumn] === true)
    return localDay(value.getTime(), timeZone);
  return value.toISOString();
}

const SERIES = {
  precipitation_mm: "precipitationMm",
  temperature_c: "temperatureC",
  dew_point_c: "dewPointC",
  relative_humidity_pct: "relativeHumidityPct",
  wind_m_s: "windMs",
} as const;

/** Hours of the site's stations over its log, a month at a time; hours of which nothing is known are left out. */
async function* weatherLines(tx: Sql, scope: EvidenceScope, spec: FileSpec): AsyncGenerator<string[][]> {
  if (!scope.window) return;
  for (const stationId of scope.stationIds) {
    const months = await tx<{ month: Date }[]>`SELECT month::timestamptz AS month FROM weather_month
      WHERE account_id = current_account() AND station_id = ${stationId}
        AND month >= date_trunc('month', ${new Date(scope.window.from)}::timestamptz)::date
        AND month <= ${new Date(scope.window.to)}::timestamptz::date ORDER BY month`;
    for (const { month } of months) {
      const inside = new Date(month.getTime() + HOUR_MS / 2);
      const series = await weatherSeries(tx, stationId, { from: inside, to: inside }, true);
      if (series) yield monthLines(series, scope.window, spec);
    }
  }
}

function monthLines(series: WeatherSeries, window: { from: number; to: number }, spec: FileSpec): string[][] {
  const rows: string[][] = [];
  for (let i = 0; i < series.hours; i++) {
    const endsAt = (series.firstHour + i) * HOUR_MS;
    if (endsAt <= window.from || endsAt - HOUR_MS >= window.to) continue;
    const row = spec.columns.map(({ name }) => {
      if (name === "station_id") return series.stationId;
      if (name === "observed_at") return new Date(endsAt).toISOString();
      if (name === "thunder") return series.thunder[i] === -1 ? "" : String(series.thunder[i]);
      return twoDecimals(series[SERIES[name as keyof typeof SERIES]][i] as number);
    });
    if (row.some((cell, c) => cell !== "" && spec.columns[c]?.key !== true)) rows.push(row);
  }
  return rows;
}

/** float32 to the two decimals that are stored; NaN is unknown. */
function twoDecimals(value: number): string {
  return Number.isNaN(value) ? "" : String(Math.round(value * 100) / 100);
}
