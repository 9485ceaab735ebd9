import "server-only";
import { mkdirSync, renameSync, writeFileSync } from "node:fs";
import path from "node:path";
import { z } from "zod";
import { csvLine, guarded } from "../contract/csv-records.ts";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { setAsideHeader } from "../ingest/set-aside-file.ts";
import { uploadFolder } from "../jobs/upload-folder.ts";
import { wakeWorker } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";
import { newImportId } from "./import-drop.ts";

/** Rows that were set aside, with their cells as somebody corrected them, in the order of their file's header. */
export const Corrections = z.object({
  rows: z
    .array(
      z.object({
        position: z.number().int().min(0),
        line: z.number().int().min(1),
        cells: z.array(z.string().max(100_000)).min(1).max(1000),
      }),
    )
    .min(1)
    .max(500),
});
export type Corrections = z.infer<typeof Corrections>;

interface Aside {
  position: number;
  line: string;
  file: string;
  header: string[];
  column: string;
  value: string;
  reason: string;
  sent_in: string | null;
}

/**
 * Send corrected rows in again, as an import of their own: the same file that a download would be, so that they go through
 * the same readers. The rows that they replace say where they went.
 * @returns the new import's id
 * @throws AppError `wrong_use` when a row is none of this import's, was sent in already, or has other cells than its header
 */
export async function correctRows(actor: Actor, importId: string, { rows }: Corrections): Promise<string> {
  authorise(actor, "imports.write");
  const asides = await readTransaction(
    actor,
    (tx) => tx<Aside[]>`SELECT s.position, s.line, f.file, f.header, s."column", s.value, s.reason, s.sent_in
      FROM set_aside_row s JOIN import_file f USING (account_id, import_id, position)
      WHERE s.account_id = current_account() AND s.import_id = ${importId} AND s.line = ANY(${rows.map((r) => r.line)}::bigint[])`,
  );
  const corrected = rows.map((row) => {
    const aside = asides.find((a) => a.position === row.position && Number(a.line) === row.line);
    if (!aside)
      throw new AppError("not_found", { message: `Import ${importId} set no such row aside (line ${row.line}).` });
    if (aside.sent_in)
      throw new AppError("conflict", { message: `Line ${row.line} was sent in already, in import ${aside.sent_in}.` });
    if (aside.header.length === 0 || row.cells.length !== aside.header.length)
      throw new AppError("wrong_use", {
        message: `Line ${row.line} needs ${aside.header.length} cells, one for each column of its file, and has ${row.cells.length}.`,
      });
    return { aside, cells: row.cells };
  });
  const header = setAsideHeader(corrected.map(({ aside }) => aside.header));
  const lines = corrected.map(({ aside, cells }) => {
    const about = [aside.file, aside.line, aside.column, aside.value, aside.reason, aside.header.join(";")];
    return csvLine(
      [...about, ...header.slice(about.length).map((name) => cells[aside.header.indexOf(name)] ?? "")].map(guarded),
    );
  });
  const again = newImportId();
  const folder = uploadFolder(again);
  mkdirSync(`${folder}.arriving`, { recursive: true });
  writeFileSync(path.join(`${folder}.arriving`, "corrected-rows.csv"), csvLine(header.map(guarded)) + lines.join(""));
  renameSync(`${folder}.arriving`, folder);
  await writeTransaction(actor, async (tx) => {
    await tx`INSERT INTO import_drop (account_id, import_id, name, requested_by, options)
      VALUES (current_account(), ${again}, ${"corrected rows"}, ${actor.person}, '{}')`;
    for (const { aside } of corrected) {
      const sent = await tx`UPDATE set_aside_row SET sent_in = ${again}
        WHERE import_id = ${importId} AND position = ${aside.position} AND line = ${aside.line} AND sent_in IS NULL`;
      if (sent.count === 0) throw new AppError("conflict", { message: `Line ${aside.line} was sent in meanwhile.` });
    }
    return {
      result: null,
      note: { action: "import.correct", subject: again, detail: { from: importId, rows: corrected.length } },
    };
  });
  await wakeWorker(actor.accountId, again).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return again;
}
