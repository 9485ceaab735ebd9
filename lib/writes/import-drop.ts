import "server-only";
import { randomUUID } from "node:crypto";
import { createWriteStream, rmSync } from "node:fs";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { z } from "zod";
import { beginning, csvLine, guarded } from "../contract/csv-records.ts";
import type { Reject } from "../contract/row-parser.ts";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { dropFiles } from "../ingest/drop.ts";
import type { DropFile, StationNames } from "../ingest/drop-file.ts";
import { withoutNul } from "../ingest/identify.ts";
import { type FileCounts, importFile } from "../ingest/import-file.ts";
import { recordsAsMet } from "../ingest/known-records.ts";
import { makeFaultMonths } from "../ingest/merge.ts";
import { setAsideHeader } from "../ingest/set-aside-file.ts";
import { uploadFolder } from "../jobs/upload-folder.ts";
import { Mapping } from "../mapping/mapping.ts";
import type { ImportDocument } from "../reads/documents.ts";
import { defaultsFor } from "../reads/import-defaults.ts";
import { profileLookup } from "../reads/import-profiles.ts";
import type { Actor } from "../store/actor.ts";
import { passingTrouble } from "../store/passing-trouble.ts";
import { readTransaction, systemTransaction, writeTransaction } from "../store/transaction.ts";

export const ImportOptions = z.object({
  format: z.string().optional(),
  station: z.string().optional(),
  portfolio: z.string().optional(),
  /** How somebody said that files are read, by their names. */
  mappings: z.record(z.string(), Mapping).optional(),
});
export type ImportOptions = z.infer<typeof ImportOptions>;

export interface ImportProgress {
  file: string;
  rows: number;
  bytesRead: number;
  bytesTotal: number | null;
}

/** A new import's id: sortable by time, hard to guess. */
export const newImportId = (): string =>
  `${new Date().toISOString().replace(/[^\d]/g, "").slice(0, 14)}-${randomUUID().slice(0, 8)}`;

/**
 * Put an import on record, waiting, or asking how its files are to be read.
 * @param given.heldAt the data folder that holds its files, where it is an upload
 * @returns its id
 */
export async function createImport(
  actor: Actor,
  given: { importId?: string; name: string; options?: ImportOptions; asking?: boolean; heldAt?: string },
): Promise<string> {
  authorise(actor, "imports.write");
  const importId = given.importId ?? newImportId();
  return writeTransaction(actor, async (tx) => {
    await tx`INSERT INTO import_drop (account_id, import_id, name, status, requested_by, options, held_at)
      VALUES (current_account(), ${importId}, ${given.name}, ${given.asking ? "asking" : "waiting"}, ${actor.person}, ${tx.json((given.options ?? {}) as never)},
        ${given.heldAt ?? null})`;
    return { result: importId, note: { action: "import.request", subject: importId, detail: { name: given.name } } };
  });
}

/** Ask an import to stop that is not over. Files already merged stay. */
export async function cancelImport(actor: Actor, importId: string): Promise<boolean> {
  authorise(actor, "imports.write");
  const before = await writeTransaction(actor, async (tx) => {
    const [drop] = await tx<
      { status: string }[]
    >`SELECT status FROM import_drop WHERE import_id = ${importId} FOR UPDATE`;
    const open = drop && ["asking", "waiting", "running"].includes(drop.status);
    if (!open) return { result: null, note: null };
    await tx`UPDATE import_drop SET status = 'cancelled', finished_at = now() WHERE import_id = ${importId}`;
    return { result: drop.status, note: { action: "import.cancel", subject: importId } };
  });
  // No worker ever had these files.
  if (before === "asking") rmSync(uploadFolder(importId), { recursive: true, force: true });
  return before !== null;
}

/**
 * Run an import to its end: each file in one transaction with its audit entry, in the contract's order. Running it
 * again after a kill changes nothing that was already merged.
 * @throws AppError `cancelled` when it was stopped, `file_unreadable` for a damaged file
 */
export async function runImport(
  actor: Actor,
  importId: string,
  source: { folder: string } | { files: string[] },
  watch: { signal?: AbortSignal; onProgress?: (progress: ImportProgress) => void } = {},
): Promise<{ files: ImportDocument["files"] }> {
  authorise(actor, "imports.write");
  try {
    const options = await begin(actor, importId);
    const files = await dropFiles(source, {
      ...options,
      profileOf: await profileLookup(actor),
      defaultsFor: (kind) => defaultsFor(kind, options),
    });
    if (files.length === 0) throw new AppError("wrong_use", { message: "The drop holds no file." });
    await listFiles(actor, importId, files);
    const out: ImportDocument["files"] = [];
    for (const [position, file] of files.entries()) {
      const counts = await runFile(actor, { importId, position, file, options, watch });
      out.push({
        file: file.name,
        rows: counts.rows,
        accepted: counts.accepted,
        unchanged: counts.unchanged,
        set_aside: counts.setAside,
        notes: counts.notes,
      });
    }
    await writeTransaction(actor, async (tx) => {
      await tx`UPDATE import_drop SET status = 'done', finished_at = now() WHERE import_id = ${importId} AND status = 'running'`;
      return { result: null, note: { action: "import.finish", subject: importId, detail: { files: out.length } } };
    });
    return { files: out };
  } catch (error) {
    await fail(actor, importId, error, watch.signal?.aborted === true);
    throw error;
  }
}

async function begin(actor: Actor, importId: string): Promise<ImportOptions> {
  return writeTransaction(actor, async (tx) => {
    const [row] = await tx<
      { options: unknown; status: string }[]
    >`SELECT options, status FROM import_drop WHERE import_id = ${importId} FOR UPDATE`;
    if (!row) throw new AppError("not_found", { message: `There is no import ${importId}.` });
    if (row.status !== "waiting" && row.status !== "running")
      throw new AppError("conflict", { message: `Import ${importId} is over (${row.status}).` });
    await tx`UPDATE import_drop SET status = 'running', started_at = now(), error = NULL WHERE import_id = ${importId}`;
    // A run that was killed left its half-counted files behind.
    await tx`DELETE FROM import_file WHERE import_id = ${importId}`;
    return { result: ImportOptions.parse(row.options), note: { action: "import.start", subject: importId } };
  });
}

async function listFiles(actor: Actor, importId: string, files: DropFile[]): Promise<void> {
  await systemTransaction(actor, async (tx) => {
    for (const [position, file] of files.entries()) {
      await tx`INSERT INTO import_file (account_id, import_id, position, file, kind, bytes_total, header)
        VALUES (current_account(), ${importId}, ${position}, ${file.name}, ${file.spec?.kind ?? null}, ${file.source.bytes}, ${tx.json(file.header)})`;
    }
  });
}

async function fail(actor: Actor, importId: string, error: unknown, stopped: boolean): Promise<void> {
  // A worker that is told to end leaves the import running: the next worker takes it up again.
  if (stopped) return;
  // So does one that the database or the disk left in the lurch; meanwhile the page says why it waits.
  const passing = passingTrouble(error);
  if (passing !== null) {
    await systemTransaction(
      actor,
      (tx) => tx`UPDATE import_drop SET error = ${passing} WHERE import_id = ${importId} AND status = 'running'`,
    ).catch(() => {}); // still away
    return;
  }
  const message =
    error instanceof AppError ? error.message : `Something went wrong inside Raintrip: ${(error as Error).message}`;
  await endImport(actor, importId, message).catch(() => {}); // the database is away: a later round takes it up
}

/** Put on record that an import ended before it was done, and why. Files already merged stay. */
export async function endImport(actor: Actor, importId: string, message: string): Promise<void> {
  authorise(actor, "imports.write");
  await writeTransaction(actor, async (tx) => {
    const failed = await tx`UPDATE import_drop SET status = 'failed', finished_at = now(), error = ${message}
      WHERE import_id = ${importId} AND status IN ('waiting', 'running')`;
    return {
      result: null,
      note: failed.count > 0 ? { action: "import.fail", subject: importId, detail: { message } } : null,
    };
  });
}

interface FileRun {
  importId: string;
  position: number;
  file: DropFile;
  options: ImportOptions;
  watch: { signal?: AbortSignal; onProgress?: (progress: ImportProgress) => void };
}

const REPORT_MS = 300;
/** From this size on, bytes, it pays to have what is stored of the whole account at hand before the rows come. */
const LARGE_FILE = 1_000_000;

async function runFile(actor: Actor, run: FileRun): Promise<FileCounts> {
  const { importId, position, file, options, watch } = run;
  if (!file.spec) return unknownFile(actor, run);
  const { spec } = file;
  let bytesRead = 0;
  let reported = 0;
  let cancelled = false;
  const report = (rows: number) => {
    watch.onProgress?.({ file: file.name, rows, bytesRead, bytesTotal: file.source.bytes });
    if (performance.now() - reported < REPORT_MS) return;
    reported = performance.now();
    noteProgress(actor, run, "reading", bytesRead, rows).then(
      (still) => {
        cancelled = !still;
      },
      () => {}, // progress is for the eye; the merge itself will say when the database is away
    );
  };
  const stopIfAsked = () => {
    if (watch.signal?.aborted)
      throw new AppError("cancelled", { message: "The import was stopped; files already merged stay." });
    if (cancelled) throw new AppError("cancelled", { message: "The import was cancelled; files already merged stay." });
  };
  return writeTransaction(actor, async (tx) => {
    const known = await recordsAsMet(tx, spec.kind === "weather");
    const onBytes = (read: number) => {
      bytesRead = read;
    };
    const merged = await importFile(tx, {
      spec,
      header: file.header,
      batches: () => file.batches(onBytes, known),
      bytes:
        file.source.bytes >= LARGE_FILE && file.bytes
          ? () => file.bytes?.(onBytes) as AsyncIterable<Buffer>
          : undefined,
      makeMonths: (months) => makeMonths(actor, months),
      known,
      defaults: defaultsFor(spec.kind, options),
      setAside: (rejects) => keepRejects(actor, importId, position, rejects),
      onMerge: (rows) => {
        stopIfAsked();
        noteProgress(actor, run, "merging", file.source.bytes, rows).catch(() => {});
      },
      onRows: (rows) => {
        stopIfAsked();
        report(rows);
      },
    });
    const counts = { ...merged, notes: [...(file.notes?.() ?? []), ...merged.notes] };
    await tx`UPDATE import_file SET status = 'done', bytes_read = ${file.source.bytes}, rows = ${counts.rows}, accepted = ${counts.accepted},
      unchanged = ${counts.unchanged}, set_aside = ${counts.setAside}, notes = ${tx.json(counts.notes)}
      WHERE import_id = ${importId} AND position = ${position}`;
    const { rows, accepted, unchanged, setAside } = counts;
    return {
      result: counts,
      note: {
        action: "import.file",
        subject: `${importId}/${file.name}`,
        detail: { rows, accepted, unchanged, setAside },
      },
    };
  });
}

/** Partitions stay when the import is taken back: an empty one says nothing. */
async function makeMonths(actor: Actor, months: readonly string[]): Promise<void> {
  await systemTransaction(actor, async (tx) => {
    await tx`SET LOCAL lock_timeout = '2s'`;
    await makeFaultMonths(tx, months);
  });
}

/** @returns whether the import is still wanted */
async function noteProgress(
  actor: Actor,
  { importId, position }: FileRun,
  status: "reading" | "merging",
  bytesRead: number,
  rows: number,
): Promise<boolean> {
  return systemTransaction(actor, async (tx) => {
    await tx`SET LOCAL lock_timeout = '200ms'`;
    const [drop] = await tx<{ status: string }[]>`SELECT status FROM import_drop WHERE import_id = ${importId}`;
    await tx`UPDATE import_file SET status = ${status}, bytes_read = ${bytesRead}, rows = ${rows}
      WHERE import_id = ${importId} AND position = ${position} AND status <> 'done'`;
    return drop?.status === "running";
  });
}

async function keepRejects(actor: Actor, importId: string, position: number, rejects: Reject[]): Promise<void> {
  const rows = rejects.map((r) => ({
    import_id: importId,
    position,
    line: r.line,
    column: withoutNul(r.column),
    value: beginning(withoutNul(r.value), 1000),
    reason: withoutNul(r.reason),
    cells: r.cells.map(withoutNul),
  }));
  await systemTransaction(actor, async (tx) => {
    await tx`INSERT INTO set_aside_row (account_id, import_id, position, line, "column", value, reason, cells)
      SELECT current_account(), import_id, position, line, "column", value, reason, cells
      FROM jsonb_to_recordset(${tx.json(rows as never)}) AS r(import_id text, position integer, line bigint, "column" text, value text, reason text, cells jsonb)
      ON CONFLICT (account_id, import_id, position, line) DO NOTHING`;
  });
}

/** A file that neither name nor header identify: nothing of it is used, and that is said. */
async function unknownFile(actor: Actor, { importId, position, file }: FileRun): Promise<FileCounts> {
  let rows = 0;
  const nobody: StationNames = { stationZone: () => null, stationId: (name) => name };
  for await (const batch of file.batches(() => {}, nobody)) {
    await keepRejects(
      actor,
      importId,
      position,
      batch.map(({ line, cells }) => ({
        line,
        column: "",
        value: "",
        reason: "neither the name nor the columns of this file tell what it holds",
        cells,
      })),
    );
    rows += batch.length;
  }
  const notes = [
    `Not recognised: name it as in the contract (sites.csv, faults.csv …) or give its columns those names. Its columns: ${beginning(file.header.slice(0, 20).join(", "), 1000)}`,
  ];
  return writeTransaction(actor, async (tx) => {
    await tx`UPDATE import_file SET status = 'done', bytes_read = ${file.source.bytes}, rows = ${rows}, set_aside = ${rows}, notes = ${tx.json(notes)}
      WHERE import_id = ${importId} AND position = ${position}`;
    const counts = { rows, accepted: 0, unchanged: 0, setAside: rows, notes };
    return {
      result: counts,
      note: { action: "import.file", subject: `${importId}/${file.name}`, detail: { rows, setAside: rows } },
    };
  });
}

/** Rows read at once: as many as hold about this many characters, because a single row may be a million long. */
const PAGE_CHARACTERS = 4_000_000;
const MOST_ROWS = 5000;
const Header = z.array(z.string());

/** The rows an import set aside, as lines of one CSV that can be corrected and imported again. */
export async function* setAsideLines(actor: Actor, importId: string): AsyncGenerator<string> {
  authorise(actor, "imports.read");
  const files = await readTransaction(
    actor,
    (tx) => tx<{ position: number; file: string; header: unknown }[]>`
      SELECT position, file, header FROM import_file WHERE import_id = ${importId} AND set_aside > 0 ORDER BY position`,
  );
  const headers = new Map(files.map((f) => [f.position, { file: f.file, header: Header.parse(f.header) }]));
  const header = setAsideHeader([...headers.values()].map((f) => f.header));
  yield csvLine(header.map(guarded));
  let after = { position: -1, line: -1 };
  let page = 50;
  for (;;) {
    const rows = await readTransaction(
      actor,
      (tx) => tx<{ position: number; line: string; column: string; value: string; reason: string; cells: string[] }[]>`
        SELECT position, line, "column", value, reason, cells FROM set_aside_row
        WHERE import_id = ${importId} AND (position, line) > (${after.position}, ${after.line}) ORDER BY position, line LIMIT ${page}`,
    );
    for (const row of rows) yield setAsideLine(row, headers.get(row.position) ?? { file: "", header: [] }, header);
    const last = rows.at(-1);
    if (!last) return;
    const characters = rows.reduce((sum, row) => sum + row.cells.reduce((n, cell) => n + cell.length + 3, 200), 0);
    page = Math.max(4, Math.min(MOST_ROWS, 4 * page, Math.floor((PAGE_CHARACTERS * rows.length) / characters)));
    after = { position: last.position, line: Number(last.line) };
  }
}

function setAsideLine(
  row: { line: string; column: string; value: string; reason: string; cells: string[] },
  own: { file: string; header: string[] },
  header: readonly string[],
): string {
  const about = [own.file, String(row.line), row.column, row.value, row.reason, own.header.join(";")];
  const cells = header.slice(about.length).map((name) => row.cells[own.header.indexOf(name)] ?? "");
  return csvLine([...about, ...cells].map(guarded));
}

/** Write the set-aside rows of an import to a file. */
export async function writeSetAside(actor: Actor, importId: string, file: string): Promise<void> {
  authorise(actor, "imports.read");
  await pipeline(Readable.from(setAsideLines(actor, importId)), createWriteStream(file));
}
