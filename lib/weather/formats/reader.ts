import { parseIsoTime, standardOffsetMs } from "../../core/zoned-time.ts";
import { relativeHumidityPct } from "../dew-point.ts";
import {
  fahrenheitToC,
  HourFold,
  type HourReport,
  inchesToMm,
  knotsToMs,
  type Met,
  meet,
  mphToMs,
  TRACE_MM,
  type WeatherLine,
} from "./hour-fold.ts";
import { decodeMetar, hourPrecipitation } from "./metar.ts";

export const WEATHER_FORMATS = ["isd-lite", "uscrn", "lcd", "asos", "metar"] as const;
export type WeatherFormat = (typeof WEATHER_FORMATS)[number];

export interface ReaderOptions {
  /** Station that the caller names; for files that do not say. */
  stationId: string | null;
  fileName: string;
  /** Zone of a station, for times without one. */
  zoneOf: (stationId: string) => string | null;
}

/** Reads one line after another; null is a header or a comment, which is no row. */
export type WeatherReader = (cells: readonly string[]) => WeatherLine;

export interface OpenReader {
  read: WeatherReader;
  /** What was met and dealt with so far, for the report of the import. */
  met: Met;
}

const clean = (cell: string | undefined): string => (cell ?? "").trim();

/**
 * Number of a cell; null where it is empty or a sign of missing. A trailing `s` (suspect) is read past: the value was
 * reported, and doubt is better kept than rain lost. `V` (variable) likewise.
 */
function number(cell: string | undefined): number | null {
  const text = clean(cell).replace(/[sV*]+$/i, "");
  if (text === "" || /^(M|NA|null)$/i.test(text)) return null;
  const n = Number(text);
  return Number.isFinite(n) ? n : null;
}

/** Depth of a cell, where T is a trace. */
function depth(cell: string | undefined, toMm: (n: number | null) => number | null): number | null {
  return /^T[sV]?$/i.test(clean(cell)) ? TRACE_MM : toMm(number(cell));
}

/** Which published format the first lines of a file are in, by their content; null: none that is known. */
export function detectFormat(lines: readonly string[]): WeatherFormat | null {
  const data = lines.map((l) => l.trim()).filter((l) => l !== "" && !l.startsWith("#"));
  const first = data[0] ?? "";
  if (/^\d{4} \d{2} \d{2} \d{2}(\s+-?\d+){8}$/.test(first)) return "isd-lite";
  if (/^\d{3,5}\s+\d{8}\s+\d{1,4}\s+\d{8}\s+\d{1,4}\s/.test(first)) return "uscrn";
  const header = first.toLowerCase();
  if (/(^|,)"?station"?,/.test(header) && header.includes("hourlyprecipitation")) return "lcd";
  if (header.startsWith("station,valid,")) return "asos";
  if (data.some((l) => /^raw_text,station_id,observation_time/.test(l))) return "metar";
  return /^\d{4}-\d{2}-\d{2}[T ]\S+\s+(METAR |SPECI )?[A-Z][A-Z0-9]{3} \d{6}Z/.test(first) ? "metar" : null;
}

/** A reader of one published format. The format's own missing values become unknown, never dry. */
export function openReader(format: WeatherFormat, options: ReaderOptions): OpenReader {
  const met: Met = new Map();
  return { met, read: readerOf(format, options, met) };
}

function readerOf(format: WeatherFormat, options: ReaderOptions, met: Met): WeatherReader {
  const fold = new HourFold(met);
  const hour = (report: HourReport): WeatherLine => ({ cells: fold.add(report) });
  if (format === "isd-lite") return isdLite(options, hour);
  if (format === "uscrn") return uscrn(hour);
  if (format === "lcd") return lcd(options, hour, met);
  return format === "asos" ? asos(hour) : metar(hour);
}

type ToLine = (report: HourReport) => WeatherLine;
const NO_STATION = { reason: "the file does not name its station; give it with --station" };

/** ISD-Lite: fixed columns, hour UTC, tenths, -9999 missing, -1 a trace. */
function isdLite({ stationId, fileName }: ReaderOptions, toLine: ToLine): WeatherReader {
  const named = /(\d{6}-\d{5})/.exec(fileName)?.[1] ?? stationId;
  return (cells) => {
    const f = cells.join(",").trim().split(/\s+/).map(Number);
    if (f.length < 12 || f.some((n) => !Number.isFinite(n))) return { reason: "not an ISD-Lite line (twelve numbers)" };
    if (named === null) return NO_STATION;
    const [year = 0, month = 0, day = 0, hour = 0] = f;
    const at = Date.UTC(year, month - 1, day, hour);
    if (new Date(at).getUTCDate() !== day || hour > 23) return { reason: "no such date or hour" };
    const tenth = (i: number) => (f[i] === -9999 ? null : (f[i] as number) / 10);
    const rain = f[10] === -1 ? TRACE_MM : tenth(10);
    return toLine({
      stationId: named,
      at,
      precipitationMm: rain,
      temperatureC: tenth(4),
      dewPointC: tenth(5),
      relativeHumidityPct: null,
      windMs: tenth(8),
      thunder: null,
      routine: true,
    });
  };
}

const FIVE_MINUTES = 12;

/** USCRN hourly (38 fields, P_CALC 13th) and sub-hourly (23 fields, five minutes each); times are ends of intervals. */
function uscrn(toLine: ToLine): WeatherReader {
  const sums = new Map<string, { mm: number; known: number }>();
  return (cells) => {
    const f = cells.join(",").replaceAll("\u0000", "").trim().split(/\s+/);
    const hourly = f.length === 38;
    if (!hourly && f.length !== 23)
      return { reason: `not a USCRN line: ${f.length} fields where there are 38 (hourly) or 23 (sub-hourly)` };
    const [station = "", date = "", clock = ""] = f;
    const time = clock.padStart(4, "0");
    const parsed = parseIsoTime(
      `${date.slice(0, 4)}-${date.slice(4, 6)}-${date.slice(6, 8)}T${time.slice(0, 2)}:${time.slice(2, 4)}Z`,
      "UTC",
    );
    if (!parsed.ok) return { reason: parsed.reason };
    const known = (i: number, missing: number) => (Number(f[i]) <= missing ? null : Number(f[i]));
    const base = { stationId: station, at: parsed.at, dewPointC: null, thunder: null, routine: true };
    if (hourly) {
      return toLine({
        ...base,
        precipitationMm: known(12, -99),
        temperatureC: known(9, -999),
        relativeHumidityPct: known(26, -99),
        windMs: null,
      });
    }
    return toLine({
      ...base,
      precipitationMm: summed(sums, station, parsed.at, known(9, -99)),
      temperatureC: known(8, -999),
      relativeHumidityPct: known(15, -99),
      windMs: known(21, -9),
    });
  };
}

/** Rain of an hour from its twelve parts; until all are known the hour is only known to be wet, or not known. */
function summed(
  sums: Map<string, { mm: number; known: number }>,
  station: string,
  at: number,
  part: number | null,
): number | null {
  const key = `${station}/${Math.ceil(at / 3_600_000)}`;
  const sum = sums.get(key) ?? { mm: 0, known: 0 };
  if (part !== null) {
    sum.mm += part;
    sum.known++;
  }
  sums.set(key, sum);
  if (sums.size > 48) sums.delete(sums.keys().next().value as string);
  return sum.known === FIVE_MINUTES || sum.mm > 0 ? sum.mm : null;
}

const LCD_ELEMENTS = [
  "HourlyPrecipitation",
  "HourlyDryBulbTemperature",
  "HourlyDewPointTemperature",
  "HourlyRelativeHumidity",
  "HourlyWindSpeed",
] as const;

/** LCD: local standard time all year; version 1 in US units, version 2 metric with coordinates in its header. */
function lcd({ zoneOf }: ReaderOptions, toLine: ToLine, met: Met): WeatherReader {
  let at: Map<string, number> | null = null;
  return (cells) => {
    if (!at) {
      // REPORT_TYPE and SOURCE stand twice in the header of version 1: the first is the row's own.
      at = new Map(cells.map((name, i) => [clean(name).toUpperCase(), i] as const).reverse());
      return null;
    }
    const columns = at;
    const of = (name: string) => cells[columns.get(name.toUpperCase()) ?? -1];
    const metric = columns.has("LATITUDE");
    const type = clean(of("REPORT_TYPE"));
    if (type !== "FM-15" && type !== "FM-16")
      return { reason: `report type ${type || "(none)"} is no hourly observation` };
    const stationId = clean(of("STATION"));
    const zone = zoneOf(stationId);
    if (zone === null)
      return {
        reason: `times are local standard time and the zone of station ${stationId} is not known; give time_zone in stations.csv`,
      };
    const wall = parseIsoTime(`${clean(of("DATE"))}Z`, "UTC");
    if (!wall.ok) return { reason: wall.reason };
    for (const name of LCD_ELEMENTS)
      if (/\ds$/i.test(clean(of(name)))) meet(met, "values flagged suspect, used as reported");
    const t = number(of("HourlyDryBulbTemperature"));
    const dew = number(of("HourlyDewPointTemperature"));
    const wind = number(of("HourlyWindSpeed"));
    const weather = clean(of("HourlyPresentWeatherType"));
    return toLine({
      stationId,
      at: wall.at - standardOffsetMs(zone, wall.at),
      precipitationMm: depth(of("HourlyPrecipitation"), metric ? (n) => n : inchesToMm),
      temperatureC: metric ? t : fahrenheitToC(t),
      dewPointC: metric ? dew : fahrenheitToC(dew),
      relativeHumidityPct: number(of("HourlyRelativeHumidity")),
      windMs: metric ? wind : mphToMs(wind),
      thunder: weather === "" ? null : /TS/.test(weather.replace(/VCTS/g, "TS")) ? 1 : 0,
      routine: type === "FM-15",
    });
  };
}

/** ASOS archive CSV, UTC; M missing, T trace; comment lines begin with #. */
function asos(toLine: ToLine): WeatherReader {
  let at: Map<string, number> | null = null;
  return (cells) => {
    if (clean(cells[0]).startsWith("#")) return null;
    if (!at) {
      at = new Map(cells.map((name, i) => [clean(name).toLowerCase(), i]));
      return null;
    }
    const columns = at;
    const of = (name: string) => cells[columns.get(name) ?? -1];
    const time = parseIsoTime(clean(of("valid")), "UTC");
    if (!time.ok || time.dayOnly) return { reason: time.ok ? "a time of day is needed" : time.reason };
    const stationId = clean(of("station"));
    if (stationId === "") return { reason: "the row names no station" };
    const report = decodeMetar(clean(of("metar")));
    const special = report?.special ?? false;
    const t = fahrenheitToC(number(of("tmpf")));
    const dew = fahrenheitToC(number(of("dwpf")));
    const codes = clean(of("wxcodes"));
    return toLine({
      stationId,
      at: time.at,
      precipitationMm: depth(of("p01i"), inchesToMm),
      temperatureC: t,
      dewPointC: dew,
      relativeHumidityPct: number(of("relh")) ?? (t === null || dew === null ? null : relativeHumidityPct(t, dew)),
      windMs: knotsToMs(number(of("sknt"))),
      thunder: codes === "" || codes === "M" ? (report ? (report.thunder ? 1 : 0) : null) : /TS/.test(codes) ? 1 : 0,
      routine: !special,
    });
  };
}

/** METAR reports: one a line with an ISO time in front, or the aviation text-data CSV with its preamble. */
function metar(toLine: ToLine): WeatherReader {
  let at: Map<string, number> | null = null;
  return (cells) => {
    if (clean(cells[0]) === "raw_text") {
      at = new Map(cells.map((name, i) => [clean(name), i] as const).reverse());
      return null;
    }
    const line = cells.join(",").trim();
    const columns = at;
    const m = /^(\d{4}-\d{2}-\d{2}[T ]\S+)\s+(.*)$/.exec(line);
    if (!columns && !m)
      return /^(No errors|No warnings|\d+ ms|data source|\d+ results)/i.test(line)
        ? null
        : { reason: "no time in front of the report (YYYY-MM-DDTHH:MMZ REPORT)" };
    const raw = columns ? clean(cells[columns.get("raw_text") ?? -1]) : (m?.[2] ?? "");
    const stamp = columns ? clean(cells[columns.get("observation_time") ?? -1]) : (m?.[1] ?? "");
    const decoded = decodeMetar(raw);
    if (!decoded) return { reason: "not a METAR or SPECI report" };
    const time = parseIsoTime(stamp, "UTC");
    if (!time.ok || time.dayOnly) return { reason: time.ok ? "a time of day is needed" : time.reason };
    const special = decoded.special || (columns ? clean(cells[columns.get("metar_type") ?? -1]) === "SPECI" : false);
    const { temperatureC, dewPointC } = decoded;
    return toLine({
      stationId: decoded.station,
      at: time.at,
      precipitationMm: hourPrecipitation(decoded, special),
      temperatureC,
      dewPointC,
      relativeHumidityPct:
        temperatureC === null || dewPointC === null ? null : relativeHumidityPct(temperatureC, dewPointC),
      windMs: decoded.windMs,
      thunder: decoded.thunder ? 1 : decoded.noThunderSensor ? null : 0,
      routine: !special,
    });
  };
}
