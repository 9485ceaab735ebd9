import { wordsOf } from "../contract/cell.ts";
import type { ColumnSpec, FileSpec } from "../contract/file-spec.ts";
import { COLUMN_WORDS, VALUE_WORDS } from "./column-words.ts";
import { markOf } from "./decimal-mark.ts";
import type { TableSample } from "./mapping.ts";
import { splitUnit } from "./split-unit.ts";
import { type Unit, unitSpelled, unitsOf } from "./units.ts";
import { timeForm } from "./written-time.ts";

/** Texts that mean unknown, wherever they stand. */
export const BLANK_WORDS: readonly string[] = ["n/a", "na", "#n/a", "nan", "null", "none", "-", "--", "unknown", "?"];

/** What a column of the contract takes. */
export function takes(column: ColumnSpec): "time" | "day" | "number" | "words" | "text" {
  if (column.read.kind !== "cell") return "time";
  if (column.sql === "date") return "day";
  if (column.sql !== "text") return "number";
  return wordsOf(column.read.schema) ? "words" : "text";
}

const spaced = (text: string): string =>
  text
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .replace(/[^\p{L}\p{N}%°"]+/gu, " ")
    .trim();

/** A heading parted into what it names and the unit it ends with, for one column of the contract. */
export function headingParts(
  heading: string,
  column: string,
): { name: string; unit: Unit | null; says: string | null } {
  const bracket = /[([{]([^)\]}]*)[)\]}]/.exec(heading);
  const bare = bracket
    ? `${heading.slice(0, bracket.index)} ${heading.slice(bracket.index + bracket[0].length)}`
    : heading;
  if (bracket) {
    const said = (bracket[1] ?? "").trim();
    return { name: spaced(bare), unit: unitSpelled(column, said), says: said };
  }
  const tail = /^(.*?)(?:[\s_\-,/]+|(?<=[a-z])(?=[A-Z]))(?:in\s+)?([^\s_,]+)$/.exec(heading.trim());
  const unit = tail ? unitSpelled(column, tail[2] ?? "") : null;
  if (tail && unit) return { name: spaced((tail[1] ?? "").replace(/\s+in$/, "")), unit, says: tail[2] ?? null };
  return { name: spaced(heading), unit: null, says: null };
}

/** How well a heading names a column: 1 its own words, less the more else it says, 0 not at all. */
function nameMatch(heading: string, column: ColumnSpec): number {
  const phrases = [spaced(column.name.replaceAll("_", " ")), ...(COLUMN_WORDS[column.name] ?? [])];
  const { name } = headingParts(heading, column.name);
  const whole = spaced(heading);
  const own = new Set(name.split(" "));
  let best = 0;
  for (const phrase of phrases) {
    if (phrase === name || phrase === whole) return 1;
    const words = phrase.split(" ");
    const held = words.filter((word) => own.has(word)).length;
    if (held === words.length) best = Math.max(best, (0.85 * held) / own.size);
  }
  const known = headingParts(heading, column.name).unit !== null ? 0.05 : 0;
  return best === 0 ? 0 : Math.min(0.95, best + known);
}

export const isBlank = (cell: string): boolean => cell.trim() === "" || BLANK_WORDS.includes(cell.trim().toLowerCase());

/** Cells of one column that say something, at most 400. */
export function cellsOf(sample: TableSample, at: number): string[] {
  const out: string[] = [];
  for (const row of sample.rows) {
    const cell = row[at] ?? "";
    if (!isBlank(cell)) out.push(cell.trim());
    if (out.length === 400) break;
  }
  return out;
}

const share = (cells: readonly string[], test: (cell: string) => boolean) =>
  cells.length === 0 ? 0.5 : cells.filter(test).length / cells.length;

/** The share of a column's values that a column of the contract could take, as far as form goes. */
function valueMatch(cells: readonly string[], column: ColumnSpec): number {
  if (cells.length === 0) return 0.5;
  const kind = takes(column);
  if (kind === "time" || kind === "day") {
    const found = timeForm(cells);
    if (found.form || found.open.length > 0) return 1;
    return share(cells, (cell) => timeForm([cell]).open.length > 0);
  }
  if (kind === "number" || column.name === "value")
    return share(cells, (cell) => {
      const { number } = splitUnit(cell);
      return (
        /^[+-]?\d+$/.test(number) ||
        markOf(number) !== null ||
        (column.name === "value" && /\d/.test(number)) ||
        (column.name === "thunder" && /^(yes|no|true|false|y|n)$/i.test(cell))
      );
    });
  if (kind === "words") {
    const known = new Set([
      ...((column.read.kind === "cell" && wordsOf(column.read.schema)) || []),
      ...Object.keys(VALUE_WORDS[column.name] ?? {}),
    ]);
    // Words of their own can be mapped by hand, as long as they are few.
    const distinct = new Set(cells.map((cell) => cell.toLowerCase()));
    const few = distinct.size <= 30 && distinct.size < cells.length / 2 ? 0.6 : 0.3;
    return Math.max(
      few,
      share(cells, (cell) => known.has(cell.toLowerCase()) || known.has(cell.toLowerCase().replace(/[\s-]+/g, "_"))),
    );
  }
  // Identifiers and words are no times.
  return timeForm(cells).form && timeForm(cells).offsets !== "none"
    ? 0.2
    : cells.every((cell) => /[:T]/.test(cell) && timeForm([cell]).open.length > 0)
      ? 0.2
      : 1;
}

export interface Match {
  to: string;
  at: number;
  score: number;
  /** Another column of the file that fits as well. */
  rival: number | null;
}

/** Which column of the file fits which of one kind of contract file; each is used once, the best first. */
export function matchColumns(sample: TableSample, spec: FileSpec): Match[] {
  const cells = sample.header.map((_, at) => cellsOf(sample, at));
  const all: Omit<Match, "rival">[] = [];
  for (const column of spec.columns)
    for (const [at, heading] of sample.header.entries()) {
      const name = heading === "" ? 0 : nameMatch(heading, column);
      if (name < 0.3) continue;
      const fits = valueMatch(cells[at] ?? [], column);
      const score = name * (fits < 0.5 ? 0.3 : 0.7 + 0.3 * fits);
      if (score >= 0.35) all.push({ to: column.name, at, score: score + (column.required ? 0.001 : 0) });
    }
  all.sort((a, b) => b.score - a.score || a.at - b.at);
  const out: Match[] = [];
  const used = { to: new Set<string>(), at: new Set<number>() };
  for (const match of all) {
    if (used.to.has(match.to) || used.at.has(match.at)) continue;
    used.to.add(match.to);
    used.at.add(match.at);
    const rival = all.find(
      (other) => other.to === match.to && other.at !== match.at && match.score - other.score < 0.05,
    );
    out.push({ ...match, rival: rival?.at ?? null });
  }
  return out.map((match) => (match.rival !== null && used.at.has(match.rival) ? { ...match, rival: null } : match));
}

/** Whether a column has units to tell apart. */
export const hasUnits = (column: string): boolean => unitsOf(column).length > 1;
