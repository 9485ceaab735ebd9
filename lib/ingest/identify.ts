import path from "node:path";
import type { FileSpec } from "../contract/file-spec.ts";
import { CONTRACT_FILES } from "../contract/files.ts";

/** Columns that a set-aside file puts before those of the rows it holds. */
export const SET_ASIDE_COLUMNS = [
  "set_aside_file",
  "set_aside_line",
  "set_aside_column",
  "set_aside_value",
  "set_aside_reason",
  "set_aside_header",
] as const;

export function isSetAsideHeader(header: readonly string[]): boolean {
  return SET_ASIDE_COLUMNS.every((name) => header.includes(name));
}

/** PostgreSQL holds no NUL; it is shown as the usual stand-in. */
export const withoutNul = (text: string): string => text.replaceAll("\u0000", "\u2400");

export const normalHeader = (cells: readonly string[]): string[] =>
  cells.map((cell) => withoutNul(cell).trim().toLowerCase());

/** The contract file of a name such as `faults.csv` or `faults.csv.gz`; null when the name says nothing. */
export function specByName(file: string): FileSpec | null {
  const base = path
    .basename(file)
    .toLowerCase()
    .replace(/\.gz$/, "")
    .replace(/\.csv$/, "");
  return CONTRACT_FILES.find((spec) => spec.kind === base) ?? null;
}

/**
 * The contract file whose keys and required columns a header holds. When several fit, the one that knows most of the
 * header's columns; null when none fits or two fit equally.
 */
export function specByHeader(header: readonly string[]): FileSpec | null {
  const fits = CONTRACT_FILES.filter((spec) => spec.columns.every((c) => !c.required || header.includes(c.name)))
    .map((spec) => ({ spec, known: spec.columns.filter((c) => header.includes(c.name)).length }))
    .sort((a, b) => b.known - a.known);
  const [first, second] = fits;
  return first && first.known !== second?.known ? first.spec : null;
}
