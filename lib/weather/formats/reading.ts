import { type HourReport, TRACE_MM, type WeatherLine } from "./hour-fold.ts";

export interface ReaderOptions {
  /** Station that the caller names; for files that do not say. */
  stationId: string | null;
  fileName: string;
  /** Zone of a station, for times without one. */
  zoneOf: (stationId: string) => string | null;
}

/** Reads one line after another; null is a header or a comment, which is no row. */
export type WeatherReader = (cells: readonly string[]) => WeatherLine;

/** What a reader hands a report to. */
export type ToLine = (report: HourReport) => WeatherLine;

/** No station's name is longer; what is would fill the memory. */
export const LONGEST_NAME = 100;

export const clean = (cell: string | undefined): string => (cell ?? "").trim();

/**
 * Number of a cell; null where it is empty or a sign of missing. A trailing `s` (suspect) is read past: the value was
 * reported, and doubt is better kept than rain lost. `V` (variable) likewise.
 */
export function number(cell: string | undefined): number | null {
  const given = clean(cell);
  // The longest number of these formats has ten characters; a longer cell is none, and costs no time.
  if (given.length > 40) return null;
  const text = given.replace(/[sV*]+$/i, "");
  if (text === "" || /^(M|NA|null)$/i.test(text)) return null;
  const n = Number(text);
  return Number.isFinite(n) ? n : null;
}

/** Depth of a cell, where T is a trace. */
export function depth(cell: string | undefined, toMm: (n: number | null) => number | null): number | null {
  return /^T[sV]?$/i.test(clean(cell)) ? TRACE_MM : toMm(number(cell));
}
