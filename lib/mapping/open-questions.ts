import { wordsOf } from "../contract/cell.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import { CONTRACT_FILES } from "../contract/files.ts";
import { cellsOf, hasUnits, isBlank, takes } from "./column-match.ts";
import { GROUND_FAULT_WORDS } from "./column-words.ts";
import type { ColumnRule, Mapping, TableSample } from "./mapping.ts";
import { splitUnit } from "./split-unit.ts";
import { unitSpelled, unitsOf } from "./units.ts";
import { timeForm } from "./written-time.ts";
import { type ZoneOf, zoneNamesIn } from "./zone-names-in.ts";

export interface Question {
  /** What it is about: `kind`, `decimal`, `vocabulary`, or a column of the contract. */
  about: string;
  part: "kind" | "decimal" | "column" | "unit" | "form" | "zone" | "hour" | "words" | "vocabulary";
  says: string;
}

/** Distinct words of a column that nobody has mapped. */
export function unknownWords(sample: TableSample, spec: FileSpec, rule: ColumnRule): string[] {
  const column = spec.columns.find((c) => c.name === rule.to);
  const own = column?.read.kind === "cell" ? wordsOf(column.read.schema) : null;
  if (!own || rule.at === null) return [];
  const plain = (word: string) => word.replace(/[\s-]+/g, "_");
  const distinct = new Set(cellsOf(sample, rule.at).map((cell) => cell.toLowerCase()));
  return [...distinct].filter(
    (word) => rule.words[word] === undefined && !own.includes(word) && !own.includes(plain(word)),
  );
}

/** Codes of a fault log with how often they stand there, and a message of one of their rows; the most frequent first. */
export function codesIn(
  sample: TableSample,
  mapping: Mapping,
): { code: string; rows: number; message: string; ground: boolean }[] {
  const at = mapping.columns.find((rule) => rule.to === "code")?.at ?? null;
  const messageAt = mapping.columns.find((rule) => rule.to === "message")?.at ?? null;
  if (mapping.kind !== "faults" || at === null) return [];
  const seen = new Map<string, { rows: number; message: string }>();
  for (const row of sample.rows) {
    const code = (row[at] ?? "").trim();
    if (isBlank(code)) continue;
    const had = seen.get(code);
    if (had) had.rows++;
    else seen.set(code, { rows: 1, message: messageAt === null ? "" : (row[messageAt] ?? "").trim() });
  }
  return [...seen]
    .map(([code, { rows, message }]) => ({
      code,
      rows,
      message,
      ground: GROUND_FAULT_WORDS.test(`${code} ${message}`),
    }))
    .sort((a, b) => Number(b.ground) - Number(a.ground) || b.rows - a.rows || a.code.localeCompare(b.code));
}

/** What must be said before a file can be read by this mapping; empty: nothing. */
export function openQuestions(
  mapping: Mapping,
  sample: TableSample,
  defaults: Readonly<Record<string, string>> = {},
  zoneOf: ZoneOf = () => undefined,
): Question[] {
  const spec = CONTRACT_FILES.find((s) => s.kind === mapping.kind);
  if (!spec) return [{ about: "kind", part: "kind", says: "What does this file hold?" }];
  const out: Question[] = [];
  if (mapping.decimal === null)
    out.push({ about: "decimal", part: "decimal", says: "Do its numbers have a decimal point or a decimal comma?" });
  for (const column of spec.columns) {
    const has = mapping.columns.some((rule) => rule.to === column.name);
    if (column.required && !has && defaults[column.name] === undefined)
      out.push({
        about: column.name,
        part: "column",
        says: `${column.name} is needed: which column holds it, or what stands in every row?`,
      });
  }
  for (const rule of mapping.columns) out.push(...aboutColumn(mapping, spec, rule, sample, zoneOf));
  const codes = mapping.columns.find((rule) => rule.to === "code" && rule.at !== null);
  if (spec.kind === "faults" && codes && !mapping.vocabulary && !mapping.columns.some((r) => r.to === "code_system"))
    out.push({
      about: "vocabulary",
      part: "vocabulary",
      says: "Which of its codes mean a ground fault? Codes that nobody explains count as other faults.",
    });
  return out;
}

function aboutColumn(
  mapping: Mapping,
  spec: FileSpec,
  rule: ColumnRule,
  sample: TableSample,
  zoneOf: ZoneOf,
): Question[] {
  const column = spec.columns.find((c) => c.name === rule.to);
  if (!column || rule.at === null) return [];
  const heading = sample.header[rule.at] ?? "";
  const cells = cellsOf(sample, rule.at);
  const out: Question[] = [];
  const ask = (part: Question["part"], says: string) => out.push({ about: rule.to, part, says });
  const kind = takes(column);
  if (kind === "time" || kind === "day") {
    const found = timeForm(cells);
    if (!rule.form) ask("form", `How is “${heading}” written? ${sentence(found.because)}`);
    const utc = rule.form === "epoch_s" || rule.form === "epoch_ms";
    // A date alone means some time on the site's own day, so its zone is not asked.
    const clocks = rule.clockAt !== null || column.read.kind !== "moment" || cells.some((cell) => /\d:\d/.test(cell));
    if (kind === "time" && !utc && !rule.zone && clocks && (cells.length === 0 || found.offsets !== "all"))
      ask("zone", `Whose clock does “${heading}” tell, where it says no offset?`);
    if (rule.zone === "site" && column.read.kind === "utc_time")
      ask("zone", `“${heading}” belongs to a station, not to a site: is it UTC, or which zone?`);
    if (spec.kind === "weather" && kind === "time" && rule.hour === null)
      ask(
        "hour",
        `Does “${heading}” name the end of its hour or the start? Rain would else stand an hour beside its faults.`,
      );
    for (const found of zoneNamesIn(sample, spec, mapping.columns, rule, zoneOf))
      if (found.offset === null && !isExplained(rule.words[found.name.toLowerCase()], column))
        ask("words", `“${heading}” names a time zone: ${found.asks}.`);
  }
  if (hasUnits(rule.to) && !rule.unit && !eachSays(rule.to, cells)) {
    // The reading's unit may stand in a column of its own.
    const beside = rule.to === "value" && mapping.columns.some((r) => r.to === "unit" && r.at !== null);
    if (!beside)
      ask(
        "unit",
        `In which unit is “${heading}”? ${unitsOf(rule.to)
          .map((u) => u.label)
          .join(", ")}`,
      );
  }
  const unknown = unknownWords(sample, spec, rule);
  if (unknown.length > 0)
    ask(
      "words",
      `“${heading}” has ${unknown.length === 1 ? "a word" : "words"} to explain: ${unknown.slice(0, 6).join(", ")}`,
    );
  return out;
}

/** A station has no clock on a site's wall. */
const isExplained = (meaning: string | undefined, column: FileSpec["columns"][number]): boolean =>
  meaning !== undefined && !(meaning === "site" && column.read.kind === "utc_time");

/** Whether every value says its own unit. */
const eachSays = (column: string, cells: readonly string[]): boolean =>
  cells.length > 0 && cells.every((cell) => unitSpelled(column, splitUnit(cell).unit) !== null);

const sentence = (text: string) => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
