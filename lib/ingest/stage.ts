import { copyIn } from "../store/copy-stream.ts";
import type { Sql } from "../store/transaction.ts";
import type { ParsedRow, RowParser } from "./row-parser.ts";

/** Name of the staging table; temporary, so each transaction has its own and none outlives it. */
export const STAGING = "import_staging";

const quoted = (name: string) => `"${name}"`;

/** Make the staging table for the columns of a parser. */
export async function makeStaging(tx: Sql, columns: RowParser["columns"]): Promise<void> {
  const list = ["line bigint NOT NULL", ...columns.map((c) => `${quoted(c.name)} ${c.sql}`)].join(", ");
  await tx.unsafe(`CREATE TEMPORARY TABLE ${STAGING} (${list}) ON COMMIT DROP`);
}

/** COPY's text format: tab between, newline after, backslash escapes, \N for null. */
function copyLine(row: ParsedRow): string {
  let out = String(row.line);
  for (const value of row.values) {
    out += "\t";
    out += value === null ? "\\N" : /[\\\t\n\r]/.test(value) ? escaped(value) : value;
  }
  return `${out}\n`;
}

function escaped(value: string): string {
  return value.replaceAll("\\", "\\\\").replaceAll("\t", "\\t").replaceAll("\n", "\\n").replaceAll("\r", "\\r");
}

/** Send rows to the staging table. */
export async function stageRows(tx: Sql, columns: RowParser["columns"], rows: readonly ParsedRow[]): Promise<void> {
  if (rows.length === 0) return;
  const names = columns.map((c) => quoted(c.name)).join(", ");
  const text = async function* () {
    yield Buffer.from(rows.map(copyLine).join(""));
  };
  await copyIn(tx, `COPY ${STAGING} (line, ${names}) FROM STDIN`, text());
}
