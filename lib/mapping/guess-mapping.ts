import { wordsOf } from "../contract/cell.ts";
import type { ColumnSpec, FileSpec } from "../contract/file-spec.ts";
import { CONTRACT_FILES } from "../contract/files.ts";
import { decodeCode, SUNSPEC_EVT1 } from "../faults/fault-code.ts";
import { bareRule } from "./bare-rule.ts";
import { cellsOf, hasUnits, headingParts, type Match, matchColumns, takes } from "./column-match.ts";
import { KIND_WORDS, VALUE_WORDS } from "./column-words.ts";
import { decimalMark } from "./decimal-mark.ts";
import type { ColumnRule, Mapping, TableSample } from "./mapping.ts";
import { splitUnit } from "./split-unit.ts";
import { unitSpelled, unitsOf } from "./units.ts";
import { timeForm } from "./written-time.ts";
import { type ZoneOf, zoneNamesIn } from "./zone-names-in.ts";

export interface Guess {
  mapping: Mapping;
  /** Why: column of the contract, or `kind` or `decimal`, to a sentence. */
  because: Record<string, string>;
}

/** How much more one kind must speak for itself than the next, for it not to be asked. */
const CLEARLY = 1;

/**
 * How a file of somebody else's may be read, from the names and the values of its columns. What they do not decide stays
 * null, to be asked; nothing is taken because it is usual.
 * @param kind what somebody said the file holds; absent: it is guessed too
 * @param zoneOf zone of a site that is known
 */
export function guessMapping(sample: TableSample, kind?: string, zoneOf: ZoneOf = () => undefined): Guess {
  const found = kind ? { kind, because: "you said so" } : guessKind(sample);
  const spec = CONTRACT_FILES.find((s) => s.kind === found.kind) ?? null;
  const decimal = guessDecimal(sample);
  const because: Record<string, string> = { kind: found.because, decimal: decimal.because };
  const matches = spec ? matchColumns(sample, spec) : [];
  const columns = spec ? matches.flatMap((match) => ruleOf(sample, spec, match, because)) : [];
  if (spec) joinClock(sample, spec, columns, because);
  if (spec) nameZones(sample, spec, columns, zoneOf, because);
  if (spec?.kind === "inspections") readingUnit(columns, because);
  const mapping: Mapping = {
    kind: found.kind,
    delimiter: sample.delimiter,
    encoding: sample.encoding,
    headerAt: sample.headerAt,
    decimal: decimal.mark,
    blanks: blanksIn(sample),
    columns,
    vocabulary: spec?.kind === "faults" ? knownVocabulary(sample, columns, because) : null,
  };
  return { mapping, because };
}

/**
 * A mapping that somebody is making, with what the values of its columns decide filled in where it is still open. What was
 * said stays.
 */
export function completed(mapping: Mapping, sample: TableSample, zoneOf: ZoneOf = () => undefined): Mapping {
  const spec = CONTRACT_FILES.find((s) => s.kind === mapping.kind);
  if (!spec) return mapping;
  const columns = mapping.columns.map((rule) => {
    if (rule.at === null) return rule;
    const [own] = ruleOf(sample, spec, { to: rule.to, at: rule.at, score: 1, rival: null }, {});
    if (!own) return rule;
    return {
      ...rule,
      unit: rule.unit ?? own.unit,
      form: rule.form ?? own.form,
      zone: rule.zone ?? own.zone,
      hour: rule.hour ?? own.hour,
      words: { ...own.words, ...rule.words },
    };
  });
  nameZones(sample, spec, columns, zoneOf, {});
  const blank = { ...mapping, columns, decimal: mapping.decimal ?? guessDecimal(sample).mark };
  return spec.kind === "faults" && !mapping.vocabulary
    ? { ...blank, vocabulary: knownVocabulary(sample, columns, {}) }
    : blank;
}

function guessKind(sample: TableSample): { kind: string | null; because: string } {
  const name = sample.file.toLowerCase().split(/[^a-z]+/);
  const scored = CONTRACT_FILES.map((spec) => {
    const got = new Map(matchColumns(sample, spec).map((m) => [m.to, m.score]));
    let score = 0;
    for (const column of spec.columns) {
      const has = got.get(column.name) ?? 0;
      score += has * (column.required ? 2 : 1) - (column.required && has === 0 ? 1 : 0);
    }
    if (name.some((word) => KIND_WORDS[spec.kind]?.includes(word))) score += 2;
    return { kind: spec.kind, score, named: got.size };
  }).sort((a, b) => b.score - a.score);
  const [first, second] = scored;
  if (!first || first.score <= 0) return { kind: null, because: "no column says what this file holds" };
  if (second && first.score - second.score < CLEARLY)
    return { kind: null, because: `it may hold ${first.kind} or ${second.kind}` };
  return { kind: first.kind, because: `${first.named} of its columns fit ${first.kind}` };
}

function guessDecimal(sample: TableSample) {
  const numbers = sample.header.flatMap((_, at) => {
    const cells = cellsOf(sample, at);
    return timeForm(cells.slice(0, 20)).open.length > 0 ? [] : cells.map((cell) => splitUnit(cell).number);
  });
  return decimalMark(numbers, sample.delimiter);
}

const FILL = /^-?9{3,4}(\.0+)?$/;

/** Texts for unknown that the file uses; -999 and its like only where numbers stand otherwise. */
function blanksIn(sample: TableSample): string[] {
  const words = new Set(["n/a", "na", "#n/a", "nan", "null", "none", "-", "--", "?"]);
  const found = new Set<string>();
  for (const row of sample.rows)
    for (const cell of row) {
      const text = cell.trim().toLowerCase();
      if (words.has(text) || (text.startsWith("-") && FILL.test(text))) found.add(text);
    }
  // "none" is a word of some columns and means something there.
  found.delete("none");
  return [...found].slice(0, 40);
}

function ruleOf(sample: TableSample, spec: FileSpec, match: Match, because: Record<string, string>): ColumnRule[] {
  const column = spec.columns.find((c) => c.name === match.to);
  if (!column) return [];
  const heading = sample.header[match.at] ?? "";
  if (match.rival !== null && column.read.kind !== "cell") {
    // Which of two times it is must be said by somebody, unless one holds the date and the other the time of day.
    const clocks = cellsOf(sample, match.rival).every((cell) => CLOCK_ONLY.test(cell));
    if (!clocks) {
      because[column.name] = `“${heading}” and “${sample.header[match.rival]}” both fit`;
      return [];
    }
  }
  const rule = bareRule(column.name, match.at);
  because[column.name] = `“${heading}” names it`;
  const cells = cellsOf(sample, match.at);
  const kind = takes(column);
  if (kind === "time" || kind === "day") {
    const found = timeForm(cells);
    rule.form = found.form;
    because[column.name] += `; ${found.because}`;
    if (kind === "time") rule.zone = zoneIn(heading, found);
    if (kind === "time" && spec.kind === "weather") rule.hour = hourIn(heading);
  }
  if (hasUnits(column.name)) guessUnit(column.name, heading, cells, rule, because);
  if (kind === "words" || VALUE_WORDS[column.name]) rule.words = knownWords(column, cells);
  return [rule];
}

/** Times without an offset: the heading may say UTC, and moments since 1970 are UTC. Else it is asked. */
function zoneIn(heading: string, found: ReturnType<typeof timeForm>): string | null {
  if (found.form === "epoch_s" || found.form === "epoch_ms" || found.offsets === "all") return "UTC";
  if (/\b(utc|gmt|zulu)\b/i.test(heading.replaceAll("_", " "))) return "UTC";
  return null;
}

/** Which end of its hour a heading names. The contract's own name means the end; a bare "time" is asked. */
function hourIn(heading: string): ColumnRule["hour"] {
  const words = heading.toLowerCase().replace(/[^a-z]+/g, " ");
  if (/\b(begin|begins|beginning|start|starts|starting|from|hb)\b/.test(words)) return "starts";
  return heading.trim().toLowerCase() === "observed_at" || /\b(end|ends|ending|until|to|he)\b/.test(words)
    ? "ends"
    : null;
}

/** What names of zones mean in the times of a file, where that is plain. */
function nameZones(
  sample: TableSample,
  spec: FileSpec,
  columns: ColumnRule[],
  zoneOf: ZoneOf,
  because: Record<string, string>,
): void {
  for (const rule of columns)
    for (const found of zoneNamesIn(sample, spec, columns, rule, zoneOf)) {
      const name = found.name.toLowerCase();
      if (found.offset === null || rule.words[name] !== undefined) continue;
      rule.words = { ...rule.words, [name]: found.offset };
      because[rule.to] = `${because[rule.to] ?? ""}; ${found.because}`;
    }
}

function guessUnit(
  column: string,
  heading: string,
  cells: readonly string[],
  rule: ColumnRule,
  because: Record<string, string>,
): void {
  const inValues = new Set(cells.map((cell) => splitUnit(cell).unit).filter(Boolean));
  if (inValues.size > 0) {
    const known = [...inValues].map((text) => unitSpelled(column, text)?.unit ?? null);
    if (known.every((unit) => unit !== null)) {
      // Each value says its own; the rest of the column takes what most say only when there is but one.
      rule.unit = known.length === 1 && cells.every((cell) => splitUnit(cell).unit) ? (known[0] ?? null) : null;
      because[column] += `; the values say ${[...inValues].slice(0, 3).join(", ")}`;
      if (rule.unit) return;
    }
  }
  const { unit, says } = headingParts(heading, column);
  if (unit) {
    rule.unit = unit.unit;
    because[column] += ` in ${unit.label}`;
    return;
  }
  const values = cells.map((cell) => Number(splitUnit(cell).number.replace(",", "."))).filter(Number.isFinite);
  const decided = unitByValues(column, values);
  if (decided && says === null) {
    rule.unit = decided.unit;
    because[column] += `; ${decided.because}`;
  } else because[column] += "; nothing says its unit";
}

/** A unit that the values alone decide, because they are impossible in every other. */
function unitByValues(column: string, values: readonly number[]): { unit: string; because: string } | null {
  if (values.length === 0) return null;
  const most = Math.max(...values);
  const least = Math.min(...values.filter((v) => v > -900));
  if (column === "temperature_c" && most > 65 && most < 150 && least > -95)
    return { unit: "f", because: `${most} can only be degrees Fahrenheit` };
  if (column === "relative_humidity_pct" && most > 1.5) return { unit: "pct", because: `${most} can only be per cent` };
  return null;
}

function knownWords(column: ColumnSpec, cells: readonly string[]): Record<string, string> {
  const own = (column.read.kind === "cell" && wordsOf(column.read.schema)) || [];
  const words: Record<string, string> = {};
  for (const cell of new Set(cells.map((c) => c.toLowerCase()))) {
    const plain = cell.replace(/[\s-]+/g, "_");
    const known = own.includes(cell) ? cell : own.includes(plain) ? plain : VALUE_WORDS[column.name]?.[cell];
    if (known !== undefined && known !== cell) words[cell] = known;
  }
  return words;
}

const CLOCK_ONLY = /^\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?\s*([AaPp]\.?[Mm]\.?)?$/;

/** Date and time of day in two columns: the time is read with the date that stands nearest before it. */
function joinClock(sample: TableSample, spec: FileSpec, columns: ColumnRule[], because: Record<string, string>): void {
  const clocks = sample.header.flatMap((_, at) => {
    const cells = cellsOf(sample, at);
    return cells.length > 0 && cells.every((cell) => CLOCK_ONLY.test(cell)) ? [at] : [];
  });
  for (const rule of columns) {
    const column = spec.columns.find((c) => c.name === rule.to);
    if (!column || takes(column) !== "time" || rule.at === null) continue;
    const dates = cellsOf(sample, rule.at);
    if (dates.some((cell) => /\d:\d/.test(cell))) continue;
    const clock = clocks.find((at) => at > (rule.at ?? 0)) ?? clocks[0];
    const taken = columns.some((other) => other.clockAt === clock || other.at === clock);
    if (clock === undefined || taken) continue;
    rule.clockAt = clock;
    because[rule.to] += `, with the time of day in “${sample.header[clock]}”`;
  }
}

/** The unit column of inspections, said once for all rows where the heading or each value of the reading says it. */
function readingUnit(columns: ColumnRule[], because: Record<string, string>): void {
  const value = columns.find((rule) => rule.to === "value");
  if (!value || columns.some((rule) => rule.to === "unit")) return;
  if (!value.unit) return;
  const own = value.unit === "milliohm" ? "ohm" : value.unit;
  columns.push({ ...bareRule("unit", null), fixed: own });
  because.unit = `the readings are in ${unitsOf("value").find((u) => u.unit === value.unit)?.label}`;
}

/** SunSpec's vocabulary where every code is one of its names; numbers alone may be anybody's, so they are asked. */
function knownVocabulary(
  sample: TableSample,
  columns: readonly ColumnRule[],
  because: Record<string, string>,
): Mapping["vocabulary"] {
  const code = columns.find((rule) => rule.to === "code");
  if (code?.at == null || columns.some((rule) => rule.to === "code_system")) return null;
  const cells = cellsOf(sample, code.at);
  const names =
    cells.length > 0 &&
    cells.every((c) => /[a-z]/i.test(c) && !/^0x/i.test(c) && decodeCode(c, SUNSPEC_EVT1, new Map()).known);
  if (!names) return null;
  because.vocabulary = "every code is the name of a SunSpec event";
  return { system: SUNSPEC_EVT1, events: {} };
}
