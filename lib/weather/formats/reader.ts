import { asos } from "./asos.ts";
import { HourFold, type HourReport, type Met, type WeatherLine } from "./hour-fold.ts";
import { isdLite } from "./isd-lite.ts";
import { lcd } from "./lcd.ts";
import { metar } from "./metar-reports.ts";
import type { ReaderOptions, WeatherReader } from "./reading.ts";
import { uscrn } from "./uscrn.ts";

export const WEATHER_FORMATS = ["isd-lite", "uscrn", "lcd", "asos", "metar"] as const;
export type WeatherFormat = (typeof WEATHER_FORMATS)[number];

export interface OpenReader {
  read: WeatherReader;
  /** What was met and dealt with so far, for the report of the import. */
  met: Met;
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
