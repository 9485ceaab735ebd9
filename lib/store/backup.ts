import { createHash } from "node:crypto";
import { createWriteStream, existsSync, renameSync, rmSync } from "node:fs";
import path from "node:path";
import postgres from "postgres";
import { AppError } from "../core/app-error.ts";
import {
  type BackupHeader,
  type BackupPhotos,
  type FrameKind,
  frameBytes,
  MAGIC,
  NO_PHOTOS,
  type TableSum,
} from "./backup-frames.ts";
import { photoFrames } from "./backup-photos.ts";
import { copyOut, settleCopyText } from "./copy-stream.ts";
import type { DatabaseAddress } from "./embedded.ts";
import { gzipInto } from "./gzip-into.ts";
import { promptSocket } from "./prompt-socket.ts";
import { accountIds, appliedMigrations, rowsOf, type StoredTable, storedTables } from "./stored-tables.ts";
import type { Sql } from "./transaction.ts";

/** Rows come one by one; frames are filled to about this many bytes. */
const FRAME_FILL = 256 * 1024;

export interface BackupDone {
  file: string;
  header: BackupHeader;
  tables: TableSum[];
  photos: BackupPhotos;
}

/**
 * Write every record of the installation, of all accounts, from one snapshot into one file, and the photos of visits that
 * they name; work goes on meanwhile. Rows of the work queue are not in it: the records say what is to be done. Uploads that
 * wait to be imported are not either.
 * @throws AppError `wrong_use` when the file exists, `file_unreadable` when it cannot be written
 */
export async function backUp(address: DatabaseAddress, file: string, madeAt: number): Promise<BackupDone> {
  const target = path.resolve(file);
  if (existsSync(target))
    throw new AppError("wrong_use", { message: `${target} exists. A backup never overwrites: name another file.` });
  const unfinished = `${target}.unfinished-${process.pid}`;
  const owner = postgres(address.ownerUrl, {
    ...{ max: 1, onnotice: () => {}, connect_timeout: 10 },
    ...promptSocket(address.ownerUrl),
  });
  try {
    const done = await owner.begin("read only isolation level repeatable read", async (tx) => {
      await settleCopyText(tx);
      const { header, tables } = await describeBackup(tx, madeAt);
      const sums: TableSum[] = [];
      const photos: BackupPhotos = { ...NO_PHOTOS, missing: [] };
      const sink = createWriteStream(unfinished, { mode: 0o600, flags: "wx", flush: true });
      await gzipInto(backupBytes(tx, header, tables, { sums, photos }), sink);
      return { file: target, header, tables: sums, photos };
    });
    renameSync(unfinished, target);
    return done as BackupDone;
  } catch (error) {
    removeIfThere(unfinished);
    if (["EACCES", "ENOENT", "ENOSPC", "EDQUOT", "EROFS", "ENOTDIR"].includes((error as { code?: string }).code ?? ""))
      throw new AppError("file_unreadable", {
        message: `${target} cannot be written (${(error as Error).message}). Name a file in a folder that you can write, with room.`,
        cause: error,
      });
    throw error;
  } finally {
    await owner.end({ timeout: 5 });
  }
}

function removeIfThere(file: string): void {
  // Its folder may be no folder; the error that led here says more than one of this.
  if (existsSync(file)) rmSync(file, { force: true });
}

async function describeBackup(tx: Sql, madeAt: number): Promise<{ header: BackupHeader; tables: StoredTable[] }> {
  const months = await tx<{ month: string }[]>`
    SELECT to_char(to_date(right(c.relname, 6), 'YYYYMM'), 'YYYY-MM-DD') AS month
    FROM pg_inherits i JOIN pg_class c ON c.oid = i.inhrelid WHERE i.inhparent = 'fault'::regclass AND c.relname ~ '^fault_[0-9]{6}$' ORDER BY 1`;
  return {
    tables: await storedTables(tx),
    header: {
      made_at: new Date(madeAt).toISOString(),
      migrations: await appliedMigrations(tx),
      accounts: await accountIds(tx),
      fault_months: months.map((row) => row.month),
    },
  };
}

/** The unpacked backup; `sums` and `photos` are filled on the way. */
async function* backupBytes(
  tx: Sql,
  header: BackupHeader,
  tables: readonly StoredTable[],
  { sums, photos }: { sums: TableSum[]; photos: BackupPhotos },
): AsyncGenerator<Buffer> {
  const whole = createHash("sha256");
  const given = (bytes: Buffer) => {
    whole.update(bytes);
    return bytes;
  };
  const json = (kind: FrameKind, value: unknown) => frameBytes(kind, Buffer.from(JSON.stringify(value)));
  yield given(MAGIC);
  yield given(json("H", header));
  for (const table of tables) {
    yield given(json("T", { table: table.name, columns: table.columns }));
    const sum = tableSum(table.name);
    for await (const rows of filled(tableText(tx, table, header.accounts))) {
      sum.add(rows);
      yield given(frameBytes("R", rows));
    }
    sums.push(sum.total());
  }
  for await (const bytes of photoFrames(tx, header.accounts, photos)) yield given(bytes);
  yield given(json("P", photos));
  yield json("M", { tables: sums, sha256: whole.digest("hex") });
}

/**
 * A table's rows in COPY's text, account by account: row security binds the owner too, so each account is looked at as
 * itself.
 */
export async function* tableText(tx: Sql, table: StoredTable, accounts: readonly number[]): AsyncGenerator<Buffer> {
  for (const account of table.perAccount ? accounts : [null]) {
    await tx`SELECT set_config('raintrip.account', ${String(account ?? "")}, true), set_config('raintrip.person', 'raintrip', true),
      set_config('raintrip.role', 'system', true)`;
    yield* copyOut(tx, rowsOf(table, account));
  }
}

/** Adds up what a table's text holds. A line is a row: COPY escapes the line ends inside values. */
export function tableSum(table: string): { add: (rows: Buffer) => void; total: () => TableSum } {
  const hash = createHash("sha256");
  let rows = 0;
  let bytes = 0;
  return {
    add: (text) => {
      hash.update(text);
      bytes += text.length;
      for (let at = text.indexOf(10); at >= 0; at = text.indexOf(10, at + 1)) rows++;
    },
    total: () => ({ table, rows, bytes, sha256: hash.digest("hex") }),
  };
}

/** The same bytes in pieces of about a frame's size. */
async function* filled(chunks: AsyncIterable<Buffer>): AsyncGenerator<Buffer> {
  let held: Buffer[] = [];
  let length = 0;
  for await (const chunk of chunks) {
    for (let from = 0; from < chunk.length; from += FRAME_FILL) {
      const piece = chunk.subarray(from, from + FRAME_FILL);
      held.push(piece);
      length += piece.length;
      if (length < FRAME_FILL) continue;
      yield Buffer.concat(held);
      held = [];
      length = 0;
    }
  }
  if (length > 0) yield Buffer.concat(held);
}
