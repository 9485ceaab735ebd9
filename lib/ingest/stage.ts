import type { RowParser } from "../contract/row-parser.ts";
import { copyIn } from "../store/copy-stream.ts";
import type { Sql } from "../store/transaction.ts";
import type { StagedLines } from "./staged-lines.ts";

/** Name of the staging table; temporary, so each transaction has its own and none outlives it. */
export const STAGING = "import_staging";

const quoted = (name: string) => `"${name}"`;

/** Make the staging table for the columns of a parser. */
export async function makeStaging(tx: Sql, columns: RowParser["columns"]): Promise<void> {
  const list = ["line bigint NOT NULL", ...columns.map((c) => `${quoted(c.name)} ${c.sql}`)].join(", ");
  await tx.unsafe(`CREATE TEMPORARY TABLE ${STAGING} (${list}) ON COMMIT DROP`);
}

/** Send rows to the staging table. */
export async function stageRows(tx: Sql, columns: RowParser["columns"], lines: StagedLines): Promise<void> {
  if (lines.rows === 0) return;
  const names = columns.map((c) => quoted(c.name)).join(", ");
  const bytes = async function* () {
    yield lines.copy();
  };
  await copyIn(tx, `COPY ${STAGING} (line, ${names}) FROM STDIN (FORMAT binary)`, bytes());
}
