import type { CellSchema } from "./cell.ts";

/** How a column is read. `time` and `moment` are ISO 8601, local to the site where no offset says otherwise. */
export type ColumnKind =
  | { kind: "cell"; schema: CellSchema }
  | { kind: "time" }
  | { kind: "utc_time" }
  | { kind: "moment"; dayOnlyColumn: string };

export interface ColumnSpec {
  name: string;
  required?: boolean;
  key?: boolean;
  /** SQL type of the staging and target column. */
  sql: "text" | "double precision" | "integer" | "timestamptz" | "date";
  read: ColumnKind;
}

/** A rule between the cells of one row: the column at fault and the reason, or null. Values are as COPY takes them. */
export interface RowRule {
  (value: (column: string) => string | null): { column: string; reason: string } | null;
  /** It asks no more than that the second of these times is not before the first, where both are known. */
  ordered?: readonly [first: string, second: string];
}

/** One file of the contract. */
export interface FileSpec {
  /** Name of the file without its ending, as `--format` may name it too. */
  kind: string;
  table: string;
  columns: ColumnSpec[];
  rules?: RowRule[];
  /** The row's site gives the zone of its local times. */
  bySite: boolean;
  /** References checked against what is stored: column, and whether empty is allowed. */
  refersTo?: ("site" | "inverter" | "section")[];
  /** The log of an inverter: extends its first and last row. */
  isLog?: boolean;
}

const make =
  (sql: ColumnSpec["sql"]) =>
  (name: string, schema: CellSchema, more: Partial<ColumnSpec> = {}): ColumnSpec => ({
    name,
    sql,
    read: { kind: "cell", schema },
    ...more,
  });
export const textColumn = make("text");
export const numberColumn = make("double precision");
export const wholeColumn = make("integer");
export const dayColumn = make("date");
export const timeColumn = (name: string, more: Partial<ColumnSpec> = {}): ColumnSpec => ({
  name,
  sql: "timestamptz",
  read: { kind: "time" },
  ...more,
});
export const utcColumn = (name: string, more: Partial<ColumnSpec> = {}): ColumnSpec => ({
  name,
  sql: "timestamptz",
  read: { kind: "utc_time" },
  ...more,
});
export const momentColumn = (name: string, dayOnlyColumn: string, more: Partial<ColumnSpec> = {}): ColumnSpec => ({
  name,
  sql: "timestamptz",
  read: { kind: "moment", dayOnlyColumn },
  ...more,
});

export const KEY = { key: true, required: true } as const;
/** Part of the key, but may be empty: it then counts as an empty string. */
export const EMPTY_KEY = { key: true } as const;
export const REQUIRED = { required: true } as const;
