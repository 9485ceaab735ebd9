import "server-only";
import type { Reject } from "../contract/row-parser.ts";
import { specByName } from "../ingest/identify.ts";
import { importFile } from "../ingest/import-file.ts";
import { recordsAsMet } from "../ingest/known-records.ts";
import type { Sql } from "../store/transaction.ts";
import type { ContractRow } from "../visit/visit-records.ts";

/** A row that could not become a record. */
export interface NotTaken {
  column: string;
  value: string;
  reason: string;
}

/** Rows into their table exactly as an import of a file with these columns would bring them. */
export async function upsertContractRows(tx: Sql, file: string, rows: readonly ContractRow[]): Promise<NotTaken[]> {
  const spec = specByName(file);
  if (!spec || rows.length === 0) return [];
  const header = [...new Set(rows.flatMap((row) => Object.keys(row)))];
  const batch = rows.map((row, i) => ({ line: i + 2, cells: header.map((name) => row[name] ?? "") }));
  const rejects: Reject[] = [];
  await tx`DROP TABLE IF EXISTS import_staging`;
  await importFile(tx, {
    ...{ spec, header, known: await recordsAsMet(tx, false), defaults: {} },
    batches: async function* () {
      yield batch;
    },
    setAside: async (found) => {
      rejects.push(...found);
    },
    onRows: () => {},
    onMerge: () => {},
  });
  return rejects.map(({ column, value, reason }) => ({ column, value, reason }));
}
