import { wordsOf } from "../contract/cell.ts";
import { type CsvRecord, unguarded } from "../contract/csv-records.ts";
import type { ColumnSpec, FileSpec } from "../contract/file-spec.ts";
import { takes } from "./column-match.ts";
import { plainNumber } from "./decimal-mark.ts";
import type { ColumnRule, Mapping } from "./mapping.ts";
import { splitUnit } from "./split-unit.ts";
import { inOwnUnit, type Unit, unitSpelled, unitsOf } from "./units.ts";
import { contractDay, contractTime, namedTime, TIME_FORM_SAYS } from "./written-time.ts";

type Cell = { value: string } | { reason: string };

export interface RowMap {
  /** Columns of the contract, in the order of the mapped cells. */
  header: string[];
  /** A row of the file as a row of the contract; `unfit` where a value cannot be brought into its form. */
  map: (record: CsvRecord) => CsvRecord;
}

/**
 * Reads rows of a file by a mapping. A value that cannot be read in the form that was said is never passed on as it stands:
 * it could be right by accident in another unit.
 * @throws RangeError when the mapping leaves something open
 */
export function rowMap(mapping: Mapping, spec: FileSpec, width: number): RowMap {
  const { decimal } = mapping;
  if (!decimal) throw new RangeError("rowMap requires a decimal mark");
  const blanks = new Set(mapping.blanks);
  const rules = mapping.columns.flatMap((rule) => {
    const column = spec.columns.find((c) => c.name === rule.to);
    return column ? [{ rule, column, read: reader(rule, column, decimal) }] : [];
  });
  const system = spec.kind === "faults" && mapping.vocabulary ? mapping.vocabulary.system : null;
  const header = [...rules.map(({ rule }) => rule.to), ...(system === null ? [] : ["code_system"])];
  const map = (record: CsvRecord): CsvRecord => {
    if (record.broken) return record;
    const { line } = record;
    const cellAt = (at: number) => {
      const cell = unguarded((record.cells[at] ?? "").trim());
      return blanks.has(cell.toLowerCase()) ? "" : cell;
    };
    if (record.cells.length > width && record.cells.slice(width).some((cell) => cell.trim() !== ""))
      return { line, cells: record.cells, broken: `${record.cells.length} cells where the header has ${width}` };
    let unfit: CsvRecord["unfit"];
    const cells = rules.map(({ rule, read }) => {
      const raw = rule.at === null ? rule.fixed : cellAt(rule.at);
      if (raw === "" || rule.at === null) return raw;
      const clock = rule.clockAt === null ? "" : cellAt(rule.clockAt);
      const got = read(clock ? `${raw} ${clock}` : raw);
      if ("value" in got) return got.value;
      unfit ??= { column: rule.to, value: raw, reason: got.reason };
      return raw;
    });
    return unfit ? { line, cells: withSystem(cells, system), unfit } : { line, cells: withSystem(cells, system) };
  };
  return { header, map };
}

const withSystem = (cells: string[], system: string | null) => (system === null ? cells : [...cells, system]);

function reader(rule: ColumnRule, column: ColumnSpec, decimal: "point" | "comma"): (cell: string) => Cell {
  const kind = takes(column);
  const units = unitsOf(rule.to);
  const said = units.find((u) => u.unit === rule.unit) ?? null;
  if (kind === "time" || kind === "day") {
    const { form } = rule;
    if (!form) return () => ({ reason: "nobody said how these times are written" });
    const zone = rule.zone ?? "site";
    return (cell) => {
      const joined =
        rule.clockAt !== null && form === "iso" ? cell.replace(/^(\d{4}-\d{2}-\d{2}) (\d):/, "$1 0$2:") : cell;
      const value = kind === "day" ? contractDay(joined, form) : contractTime(joined, form, zone, rule.words);
      if (value !== null) return { value: rule.hour === "starts" ? hourLater(value) : value };
      const named = kind === "day" ? null : namedTime(joined, form);
      return {
        reason: named ? `nobody said which time zone ${named.name} is` : `not written as ${TIME_FORM_SAYS[form]}`,
      };
    };
  }
  const own = column.read.kind === "cell" ? wordsOf(column.read.schema) : null;
  return (cell) => {
    const word = rule.words[cell.toLowerCase()];
    if (word !== undefined) return { value: word };
    if (kind === "words")
      return { value: own?.includes(cell.toLowerCase()) ? cell : cell.toLowerCase().replace(/[\s-]+/g, "_") };
    if (kind === "number") return numberCell(cell, { column: rule.to, decimal, said, units });
    if (rule.to === "value" && /\d/.test(cell)) return readingCell(cell, decimal, said);
    if (rule.to.endsWith("_awg")) return { value: cell.replace(/^#|\bawg\b/gi, "").trim() };
    return { value: cell };
  };
}

/** The end of an hour that is named by its start; a day without a time of day stays, to be refused. */
const hourLater = (time: string): string =>
  time.length > 10 && /(Z|[+-]\d{2}:?\d{2})$/.test(time) ? new Date(Date.parse(time) + 3_600_000).toISOString() : time;

interface NumberForm {
  column: string;
  decimal: "point" | "comma";
  said: Unit | null;
  units: readonly Unit[];
}

function numberCell(cell: string, form: NumberForm): Cell {
  const { number, unit } = splitUnit(cell);
  const written = unit ? unitSpelled(form.column, unit) : null;
  if (unit && !written && form.units.length > 1) return { reason: `“${unit}” is no unit of ${form.column}` };
  const plain = plainNumber(number, form.decimal);
  if (plain === null) return { reason: `not a number with a decimal ${form.decimal}` };
  const from = written ?? form.said;
  if (!from) return form.units.length > 1 ? { reason: "nobody said its unit" } : { value: plain };
  return { value: from.factor === 1 && !from.offset ? plain : String(inOwnUnit(Number(plain), from)) };
}

/** A reading of an inspection: a number in a unit of its own column, or a conductor size. */
function readingCell(cell: string, decimal: "point" | "comma", said: Unit | null): Cell {
  if (/awg|kcmil|^#|\//i.test(cell)) return { value: cell.replace(/^#|\bawg\b/gi, "").trim() };
  const { number, unit } = splitUnit(cell);
  if (/^[<>~≈]/.test(number)) return { reason: "a bound is no reading; write the value that was shown" };
  const written = unit ? unitSpelled("value", unit) : null;
  if (unit && (!written || (said && written.unit !== said.unit)))
    return { reason: `“${unit}” is not the unit of this column` };
  const plain = plainNumber(number, decimal);
  if (plain === null) return { reason: `not a number with a decimal ${decimal}` };
  return { value: said && said.factor !== 1 ? String(inOwnUnit(Number(plain), said)) : plain };
}
