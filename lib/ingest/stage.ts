import type { ParsedRow, RowParser } from "../contract/row-parser.ts";
import { copyIn } from "../store/copy-stream.ts";
import type { Sql } from "../store/transaction.ts";

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

/** Rows as bytes that the server takes. Texts of rows that were kept until a chunk is full would outlive their time. */
export class StagedLines {
  rows = 0;
  #bytes = Buffer.allocUnsafe(FIRST_BYTES);
  #length = 0;

  add(row: ParsedRow): void {
    const line = copyLine(row);
    // A character takes at most three bytes in UTF-8 (a pair of surrogates four for two).
    const most = this.#length + 3 * line.length;
    if (most > this.#bytes.length) {
      const larger = Buffer.allocUnsafe(2 * most);
      this.#bytes.copy(larger, 0, 0, this.#length);
      this.#bytes = larger;
    }
    this.#length += this.#bytes.write(line, this.#length);
    this.rows++;
  }

  get bytes(): Buffer {
    return this.#bytes.subarray(0, this.#length);
  }
}

const FIRST_BYTES = 1 << 20;

/** Send rows to the staging table. */
export async function stageRows(tx: Sql, columns: RowParser["columns"], lines: StagedLines): Promise<void> {
  if (lines.rows === 0) return;
  const names = columns.map((c) => quoted(c.name)).join(", ");
  const text = async function* () {
    yield lines.bytes;
  };
  await copyIn(tx, `COPY ${STAGING} (line, ${names}) FROM STDIN`, text());
}
