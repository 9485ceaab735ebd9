import { type CellSchema, plainUpTo, wordsOf } from "../contract/cell.ts";
import type { RowParser } from "../contract/row-parser.ts";
import { InternedTexts } from "./interned-texts.ts";
import type { ReadFile } from "./taken-rows.ts";

/** A column of the file that is read here. */
export interface Column {
  /** Place in the file's row. */
  at: number;
  isTime: boolean;
  isRequired: boolean;
  /** Words that come again and again; null: each cell is a text of its own, of at most so many characters. */
  texts: InternedTexts<Uint8Array | null> | null;
  most: number;
}

export interface PlainColumns {
  columns: readonly Column[];
  /** Places of times of which the second may not be before the first. */
  ordered: readonly (readonly [first: number, second: number])[];
}

/** How the columns of a log are read from bytes, in the order of the parser's; null: only the parser reads them. */
export function plainColumns(
  { spec, header, defaults }: ReadFile,
  { columns, missingColumn }: RowParser,
): PlainColumns | null {
  if (spec.kind !== "faults" || missingColumn !== null || new Set(header).size < header.length) return null;
  const read: Column[] = [];
  for (const { name } of columns) {
    const column = spec.columns.find((c) => c.name === name);
    const at = header.indexOf(name);
    if (!column || at < 0 || defaults[name] !== undefined) return null;
    const isRequired = column.required === true;
    if (column.read.kind === "time") {
      read.push({ at, isTime: true, isRequired, texts: null, most: 0 });
      continue;
    }
    if (column.read.kind !== "cell") return null;
    const { schema } = column.read;
    const words = wordsOf(schema);
    const most = plainUpTo(schema);
    if (!words && most === null) return null;
    const isFree = !words && !column.key && name !== "code_system";
    const texts = isFree ? null : new InternedTexts(words ? wordOf(schema) : (text: string) => Buffer.from(text));
    read.push({ at, isTime: false, isRequired, texts, most: most ?? 100 });
  }
  const place = (name: string) => columns.findIndex((c) => c.name === name);
  const ordered: [number, number][] = [];
  for (const rule of spec.rules ?? []) {
    if (!rule.ordered) return null;
    const [first, second] = [place(rule.ordered[0]), place(rule.ordered[1])];
    if (first >= 0 && second >= 0) ordered.push([first, second]);
  }
  return { columns: read, ordered };
}

const wordOf = (schema: CellSchema) => (text: string) => {
  const read = schema.safeParse(text);
  return read.success ? Buffer.from(read.data) : null;
};
