import "server-only";
import { csvLine, guarded } from "../contract/csv-records.ts";
import type { PartSource } from "../report/write-evidence.ts";

/** Rows as a CSV part of an evidence file; what a spreadsheet would run as a formula has an apostrophe in front. */
export function listPart(file: string, head: readonly string[], rows: readonly (readonly string[])[]): PartSource {
  async function* chunks() {
    yield csvLine(head);
    for (const row of rows) yield csvLine(row.map(guarded));
  }
  return { file, chunks, rows: () => rows.length };
}
