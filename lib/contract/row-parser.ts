import { type LocalTimeKind, parseIsoTime } from "../core/zoned-time.ts";
import { beginning, type CsvRecord, unguarded } from "./csv-records.ts";
import type { ColumnSpec, FileSpec } from "./file-spec.ts";

/** Why a row cannot be used. */
export interface Reject {
  line: number;
  column: string;
  value: string;
  reason: string;
  cells: string[];
}

/** A usable row: values by the parser's `columns`, as COPY takes them. */
export interface ParsedRow {
  line: number;
  values: (string | null)[];
}

/** What a parser must know of the account. */
export interface KnownRecords {
  /** Zone by site; undefined: no such site. */
  zoneOf: (siteId: string) => string | undefined;
  hasInverter: (siteId: string, inverterId: string) => boolean;
  hasSection: (siteId: string, sectionId: string) => boolean;
}

export interface RowParser {
  /** Columns of the values: those of the contract that the header holds, then day-only marks. */
  columns: { name: string; sql: string; key: boolean }[];
  parse: (record: CsvRecord) => ParsedRow | Reject;
  /** A required column that the header lacks: no row of the file can be used. */
  missingColumn: string | null;
  /** Header columns that the contract does not know; reported once, kept out. */
  unknownColumns: string[];
  /** Local times met: how many took the first of two, how many were moved over a gap. */
  times: Record<Exclude<LocalTimeKind, "plain">, number>;
}

export const isReject = (row: ParsedRow | Reject): row is Reject => "reason" in row;

interface Reader {
  column: ColumnSpec;
  /** What was read of texts met before; null: few of them come again. */
  known: KnownCells | null;
  /** Place in the file's row; -1: the column is absent. */
  at: number;
  /** Place in the values. */
  to: number;
  /** The cell of the row before and what was read of it, where a cell alone decides that; null: read it. */
  lastCell: string;
  last: { value: string | null } | null;
}

/**
 * A parser for the rows of one file.
 * @param header the file's own header, trimmed and lower-case
 * @param defaults values for columns that are absent or empty in the file
 */
export function rowParser(
  spec: FileSpec,
  header: readonly string[],
  known: KnownRecords,
  defaults: Readonly<Record<string, string>> = {},
): RowParser {
  const usable = spec.columns.filter((c) => header.includes(c.name) || defaults[c.name] !== undefined);
  const readers: Reader[] = usable.map((column, to) => ({
    column,
    known: column.read.kind === "cell" ? new KnownCells() : null,
    at: header.indexOf(column.name),
    to,
    lastCell: "",
    last: null,
  }));
  // A key column that is absent is an empty part of the key, so it is written all the same.
  const emptyKeys = spec.columns.filter((c) => c.key && !c.required && !usable.includes(c));
  const columns = [
    ...usable.map((c) => ({ name: c.name, sql: c.sql as string, key: c.key === true })),
    ...emptyKeys.map((c) => ({ name: c.name, sql: c.sql as string, key: true })),
    ...usable.flatMap((c) =>
      c.read.kind === "moment" ? [{ name: c.read.dayOnlyColumn, sql: "boolean", key: true }] : [],
    ),
  ];
  const missing = spec.columns.find((c) => c.required && !usable.includes(c));
  const unknownColumns = header.filter(
    (name) => name !== "" && !spec.columns.some((c) => c.name === name) && !name.startsWith("set_aside_"),
  );
  const times = { ambiguous: 0, skipped: 0 };
  const siteAt = header.indexOf("site_id");
  const placeOf = new Map(columns.map((c, i) => [c.name, i]));

  const refers = referrer(spec, known, placeOf);
  // Rules ask for values by name, of the row that is being read: nothing is made anew for each of millions.
  let values: (string | null)[] = [];
  const value = (name: string) => values[placeOf.get(name) ?? -1] ?? null;
  // Rows of a site are neighbours mostly.
  let [siteText, siteId, zone]: [string | null, string, string | null] = [null, "", null];

  const parse = (record: CsvRecord): ParsedRow | Reject => {
    const { cells } = record;
    const unfit = unfitRecord(record, header, missing);
    if (unfit) return unfit;
    if (spec.bySite) {
      const cell = cells[siteAt] ?? "";
      if (cell !== siteText) {
        siteText = cell;
        siteId = unguarded(cell.trim());
        zone = known.zoneOf(siteId) ?? null;
      }
      if (zone === null && siteId !== "")
        return reject(record, "site_id", cell, "no such site; add it to sites.csv, then import this row again");
    }
    values = new Array<string | null>(columns.length).fill(null);
    let mark = usable.length + emptyKeys.length;
    for (const reader of readers) {
      const { column, at, to } = reader;
      const cell = at >= 0 ? (cells[at] ?? "") : "";
      // The same text as in the row before is read as it was then.
      if (cell !== reader.lastCell || reader.last === null) {
        const raw = unguarded(cell.trim());
        const given = raw === "" ? (defaults[column.name] ?? "") : raw;
        const read = reader.known?.get(given) ?? readCell(column, given, zone, times);
        if (reader.known?.keep(given, read) === false) reader.known = null;
        if ("reason" in read) return reject(record, column.name, raw, read.reason);
        reader.lastCell = cell;
        reader.last = column.read.kind === "cell" ? read : null;
        values[to] = read.value;
        if (column.read.kind === "moment") values[mark++] = read.dayOnly ? "t" : "f";
      } else values[to] = reader.last.value;
    }
    for (let i = 0; i < emptyKeys.length; i++) values[usable.length + i] = "";
    const broken = refers?.(values) ?? firstBroken(spec, value);
    return broken
      ? reject(record, broken.column, cells[header.indexOf(broken.column)] ?? "", broken.reason)
      : { line: record.line, values };
  };
  return { columns, parse, missingColumn: missing?.name ?? null, unknownColumns, times };
}

function reject({ line, cells }: CsvRecord, column: string, value: string, reason: string): Reject {
  return { line, column, value, reason, cells };
}

/** Why a record is no row of its file, whatever stands in its cells; null: it is one. */
function unfitRecord(record: CsvRecord, header: readonly string[], missing: ColumnSpec | undefined): Reject | null {
  const { cells } = record;
  if (record.broken) return reject(record, "", beginning(cells[0] ?? "", 200), record.broken);
  if (record.unfit) return reject(record, record.unfit.column, record.unfit.value, record.unfit.reason);
  if (missing) {
    const why = `the column ${missing.name} is required and is not in the header of this file`;
    return reject(record, missing.name, "", why);
  }
  if (cells.length === header.length) return null;
  const why = `${cells.length} cells where the header has ${header.length} (a comma in a cell needs quotes around the cell)`;
  return reject(record, "", beginning(cells.join(","), 1000), why);
}

type Read = { value: string | null; dayOnly?: boolean } | { reason: string };

const MOST_KNOWN = 10_000;
const LONGEST_KNOWN = 60;
const TRIED = 2000;

/** Cells read before: ids, codes and words come again and again, and a cell alone decides what is read of it. */
class KnownCells {
  readonly #cells = new Map<string, Read>();
  #asked = 0;
  #found = 0;

  get(text: string): Read | undefined {
    const known = this.#cells.get(text);
    this.#asked++;
    if (known) this.#found++;
    return known;
  }

  /** @returns false when it is not worth keeping any more */
  keep(text: string, read: Read): boolean {
    if (text.length <= LONGEST_KNOWN && !this.#cells.has(text)) {
      if (this.#cells.size >= MOST_KNOWN) this.#cells.clear();
      this.#cells.set(text, read);
    }
    return this.#asked < TRIED || this.#found > this.#asked / 2;
  }
}

function readCell(column: ColumnSpec, raw: string, zone: string | null, times: RowParser["times"]): Read {
  if (raw === "") {
    if (column.required) return { reason: `${column.name} is required and is empty` };
    return { value: column.key ? "" : null };
  }
  if (raw.includes("\u0000")) return { reason: "holds a NUL character" };
  if (raw.includes("\ufffd")) return { reason: "is not valid UTF-8; save the file as UTF-8" };
  const { read } = column;
  if (read.kind === "cell") {
    const parsed = read.schema.safeParse(raw);
    return parsed.success ? { value: parsed.data } : { reason: parsed.error.issues[0]?.message ?? "not usable" };
  }
  if (isPlainUtc(raw)) return { value: `${raw.slice(0, 19)}.000Z`, dayOnly: false };
  const time = parseIsoTime(raw, read.kind === "utc_time" ? "UTC" : zone);
  if (!time.ok) return { reason: time.reason };
  if (time.dayOnly && read.kind !== "moment") return { reason: "a time of day is needed, not only a date" };
  if (time.kind !== "plain") times[time.kind]++;
  return { value: new Date(time.at).toISOString(), dayOnly: time.dayOnly };
}

const PLAIN_UTC = /^(?:19[7-9]\d|20\d\d)-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\dZ$/;
/** Last day of each month that every year has. */
const LAST_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** Whether a text is a time as most files have it, which stays as it is: whole seconds in UTC, on a day of every year. */
function isPlainUtc(text: string): boolean {
  if (text.length !== 20 || !PLAIN_UTC.test(text)) return false;
  // What may be no such day is left to the calendar.
  const month = 10 * text.charCodeAt(5) + text.charCodeAt(6) - 11 * ZERO;
  const day = 10 * text.charCodeAt(8) + text.charCodeAt(9) - 11 * ZERO;
  return day <= (LAST_DAYS[month - 1] as number);
}

const ZERO = "0".charCodeAt(0);

type Broken = { column: string; reason: string } | null;

/** Looks whether what a row refers to is there; rows of one inverter are neighbours mostly. */
function referrer(
  spec: FileSpec,
  known: KnownRecords,
  placeOf: ReadonlyMap<string, number>,
): ((values: readonly (string | null)[]) => Broken) | null {
  if (!spec.refersTo) return null;
  const at = (name: string) => placeOf.get(name) ?? -1;
  const siteAt = at("site_id");
  const inverterAt = spec.refersTo.includes("inverter") ? at("inverter_id") : -1;
  const sectionAt = spec.refersTo.includes("section") ? at("section_id") : -1;
  let last: [site: string, inverter: string | null, section: string | null] | null = null;
  return (values) => {
    const site = values[siteAt] ?? "";
    const inverter = values[inverterAt] ?? null;
    const section = values[sectionAt] ?? null;
    if (last && site === last[0] && inverter === last[1] && section === last[2]) return null;
    if (inverter && !known.hasInverter(site, inverter)) {
      return {
        column: "inverter_id",
        reason: `site ${site} has no such inverter; add it to inverters.csv, then import this row again`,
      };
    }
    if (section && !known.hasSection(site, section)) {
      return {
        column: "section_id",
        reason: `site ${site} has no such section; add it to sections.csv, then import this row again`,
      };
    }
    last = [site, inverter, section];
    return null;
  };
}

function firstBroken(spec: FileSpec, value: (name: string) => string | null): Broken {
  if (!spec.rules) return null;
  for (const rule of spec.rules) {
    const broken = rule(value);
    if (broken) return broken;
  }
  return null;
}
