import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { pipeline } from "node:stream";
import { createGunzip } from "node:zlib";
import postgres from "postgres";
import { AppError } from "../core/app-error.ts";
import { auditChain } from "./audit-chain.ts";
import { tableSum, tableText } from "./backup.ts";
import {
  BackupHeader,
  BackupManifest,
  BackupPhotos,
  type Frame,
  frameBytes,
  framesOf,
  MAGIC,
  NO_PHOTOS,
  PhotoStart,
  TableStart,
  type TableSum,
} from "./backup-frames.ts";
import { PhotoCheck, restorePhotos } from "./backup-photos.ts";
import { copyIn, settleCopyText } from "./copy-stream.ts";
import type { DatabaseAddress } from "./embedded.ts";
import { promptSocket } from "./prompt-socket.ts";
import { appliedMigrations, copyStatement, type StoredTable, storedTables } from "./stored-tables.ts";
import type { Sql } from "./transaction.ts";

/** Rows that a migration itself makes; they give way to those of the backup. */
const MADE_BY_MIGRATIONS = ["data_horizon", "person", "account"];

export interface RestoreDone {
  header: BackupHeader;
  tables: TableSum[];
  /** Null: the backup is from before it carried photos. */
  photos: BackupPhotos | null;
  audit: { account: number; entries: number; firstBroken: number | null }[];
}

/**
 * Fill an empty database, brought to the release of the backup, with what a backup holds. The file is checked whole
 * first; then everything goes in by one transaction, which ends only when what the database gives back has the backup's
 * own checksums, table by table. Photos go into the data folder, each held against the SHA-256 that it is named for, and
 * are taken back when the transaction fails.
 * @param patienceMs how long to wait for others to let go of a table
 * @throws AppError `file_unreadable` for a damaged file, `database_outdated` for another release, `conflict` when the
 *   database is not empty, `busy` while it is in use; nothing is written then
 */
export async function restore(address: DatabaseAddress, file: string, patienceMs = 10_000): Promise<RestoreDone> {
  const checked = await checkBackup(file);
  const owner = postgres(address.ownerUrl, {
    ...{ max: 1, onnotice: () => {}, connect_timeout: 10 },
    ...promptSocket(address.ownerUrl),
  });
  let takeBackPhotos = () => {};
  try {
    return (await owner.begin(async (tx) => {
      await settleCopyText(tx);
      await assertSameRelease(tx, checked.header);
      const tables = await storedTables(tx);
      await openTables(tx, tables, patienceMs);
      await makeRoom(tx, tables);
      for (const month of checked.header.fault_months) await tx`SELECT ensure_fault_month(${month}::date)`;
      await fillTables(tx, file);
      await assertSame(tx, tables, checked);
      takeBackPhotos = await restorePhotos(framesOf(unpacked(file)));
      const audit = [];
      for (const account of checked.header.accounts) audit.push({ account, ...(await auditChain(tx, account)) });
      for (const t of tables) if (t.perAccount) await tx.unsafe(`ALTER TABLE "${t.name}" FORCE ROW LEVEL SECURITY`);
      return { header: checked.header, tables: checked.manifest.tables, photos: checked.photos, audit };
    })) as RestoreDone;
  } catch (error) {
    takeBackPhotos();
    throw error;
  } finally {
    await owner.end({ timeout: 5 });
  }
}

export interface CheckedBackup {
  header: BackupHeader;
  manifest: BackupManifest;
  /** Null: the backup is from before it carried photos. */
  photos: BackupPhotos | null;
}

/**
 * Read a backup from end to end and hold it against its own manifest.
 * @throws AppError `file_unreadable` with what is wrong
 */
export async function checkBackup(file: string): Promise<CheckedBackup> {
  try {
    return await checked(file);
  } catch (cause) {
    const why = cause instanceof RangeError ? cause.message : `it cannot be read: ${(cause as Error).message}`;
    throw new AppError("file_unreadable", {
      message: `${file} cannot be restored: ${why}. Nothing was written. Take another copy or an earlier backup.`,
      cause,
    });
  }
}

async function checked(file: string): Promise<CheckedBackup> {
  const whole = createHash("sha256").update(MAGIC);
  let header: BackupHeader | null = null;
  let manifest: BackupManifest | null = null;
  const sums: TableSum[] = [];
  let open: ReturnType<typeof tableSum> | null = null;
  const carried = new PhotoCheck();
  let photos: BackupPhotos | null = null;
  for await (const frame of framesOf(unpacked(file))) {
    if (manifest) throw new RangeError("something follows its end");
    if (frame.kind !== "R" && frame.kind !== "B") {
      if (open) sums.push(open.total());
      open = null;
      carried.end();
    }
    if (frame.kind === "M") {
      manifest = parsed(BackupManifest, frame);
      continue;
    }
    whole.update(frameBytes(frame.kind, frame.payload));
    if (frame.kind === "H") header = parsed(BackupHeader, frame);
    else if (frame.kind === "T") open = tableSum(parsed(TableStart, frame).table);
    else if (frame.kind === "F") carried.begin(parsed(PhotoStart, frame));
    else if (frame.kind === "B") carried.add(frame.payload);
    else if (frame.kind === "P") photos = parsed(BackupPhotos, frame);
    else if (open) open.add(frame.payload);
    else throw new RangeError("rows in it belong to no table");
  }
  if (!header || !manifest) throw new RangeError("it is cut off");
  if (whole.digest("hex") !== manifest.sha256) throw new RangeError("its checksum does not fit");
  if (JSON.stringify(sums) !== JSON.stringify(manifest.tables))
    throw new RangeError("the checksum of a table does not fit");
  const { count, bytes } = photos ?? NO_PHOTOS;
  if (carried.count !== count || carried.bytes !== bytes) throw new RangeError("photos in it are lost");
  return { header, manifest, photos };
}

function parsed<T>(schema: { safeParse: (value: unknown) => { success: boolean; data?: T } }, frame: Frame): T {
  let value: unknown;
  try {
    value = JSON.parse(frame.payload.toString("utf8"));
  } catch {
    throw new RangeError("a frame in it is damaged");
  }
  const result = schema.safeParse(value);
  if (!result.success) throw new RangeError("a frame in it is damaged");
  return result.data as T;
}

function unpacked(file: string): AsyncIterable<Buffer> {
  // The error of a damaged or missing file comes out of the iteration itself.
  return pipeline(createReadStream(file), createGunzip(), () => {}) as unknown as AsyncIterable<Buffer>;
}

async function assertSameRelease(tx: Sql, header: BackupHeader): Promise<void> {
  const own = await appliedMigrations(tx);
  if (JSON.stringify(own) === JSON.stringify(header.migrations)) return;
  const last = header.migrations.at(-1)?.name ?? "no migration";
  throw new AppError("database_outdated", {
    message: `The backup comes from another release (its last migration is ${last}, this one's is ${own.at(-1)?.name}). Restore it with that release into an empty database, then start this one, which brings it up to date. Nothing was written.`,
  });
}

/** Let the owner write past row security, in this transaction alone; keeps everybody else out until its end. */
async function openTables(tx: Sql, tables: readonly StoredTable[], patienceMs: number): Promise<void> {
  await tx`SELECT set_config('lock_timeout', ${`${patienceMs}ms`}, true)`;
  try {
    for (const t of tables) if (t.perAccount) await tx.unsafe(`ALTER TABLE "${t.name}" NO FORCE ROW LEVEL SECURITY`);
  } catch (cause) {
    if ((cause as { code?: string }).code !== "55P03") throw cause;
    throw new AppError("busy", {
      message: "The database is in use. Stop every server and worker on it, then restore. Nothing was written.",
      cause,
    });
  }
}

async function makeRoom(tx: Sql, tables: readonly StoredTable[]): Promise<void> {
  for (const { name } of tables) {
    if (MADE_BY_MIGRATIONS.includes(name)) continue;
    const found = await tx.unsafe(`SELECT 1 FROM "${name}" LIMIT 1`);
    if (found.length > 0)
      throw new AppError("conflict", {
        message: `The database holds records already (table ${name}). A backup goes into an empty one only: set RAINTRIP_DATA to a new folder, or DATABASE_URL to a new database, and restore there. Nothing was written.`,
      });
  }
  for (const name of MADE_BY_MIGRATIONS) await tx.unsafe(`DELETE FROM "${name}"`);
  await tx`DELETE FROM account_directory`;
}

/** Every table of the file by COPY, in the file's order, which puts each after those that it refers to. */
async function fillTables(tx: Sql, file: string): Promise<void> {
  const frames = framesOf(unpacked(file))[Symbol.asyncIterator]();
  let next = await frames.next();
  while (!next.done) {
    const frame = next.value;
    next = await frames.next();
    // Most tables of a small installation are empty, and a COPY costs the wait for its end even then.
    if (frame.kind !== "T" || next.done || next.value.kind !== "R") continue;
    const { table, columns } = parsed(TableStart, frame);
    async function* rows() {
      for (; !next.done && next.value.kind === "R"; next = await frames.next()) yield next.value.payload;
    }
    await copyIn(tx, copyStatement({ name: table, columns }), rows());
  }
}

/** What the database now gives back is what the backup was made from. */
async function assertSame(
  tx: Sql,
  tables: readonly StoredTable[],
  { header, manifest }: { header: BackupHeader; manifest: BackupManifest },
): Promise<void> {
  const sums: TableSum[] = [];
  for (const table of tables) {
    const sum = tableSum(table.name);
    for await (const rows of tableText(tx, table, header.accounts)) sum.add(rows);
    sums.push(sum.total());
  }
  const differs = manifest.tables.find(
    (t) => JSON.stringify(t) !== JSON.stringify(sums.find((s) => s.table === t.table)),
  );
  if (differs || sums.length !== manifest.tables.length)
    throw new AppError("internal", {
      message: `Table ${differs?.table ?? "list"} did not come back as it was backed up. Nothing was written.`,
    });
}
