import { existsSync, readdirSync, rmSync, statSync } from "node:fs";
import path from "node:path";
import { systemActor } from "../store/actor.ts";
import { dataFolder } from "../store/data-folder.ts";
import type { Database } from "../store/database.ts";
import { readTransaction } from "../store/transaction.ts";

/** An upload under way writes all the time; one that has not for this long, and whose process is gone, comes to no end. */
const STILL_MS = 3_600_000;
/** A process of the same number may have been started since: after this its life says nothing any more. */
const LONG_STILL_MS = 86_400_000;

/** Name of the folder in which an upload arrives; it says which process takes it. */
export const arrivingName = (importId: string, pid = process.pid): string => `${importId}.${pid}.arriving`;

/**
 * Remove what a killed process left of uploads: folders that were arriving, folders of imports that never came to be on
 * record, and those of imports that are done. What is in use, waits or failed stays.
 * @returns the names of what was removed
 */
export async function clearUploads(db: Database, now: number): Promise<string[]> {
  const room = path.join(dataFolder(), "uploads");
  if (!existsSync(room)) return [];
  const old = readdirSync(room).filter((name) => now - lastWrite(path.join(room, name)) > STILL_MS);
  if (old.length === 0) return [];
  const kept = await keptImports(
    db,
    old.filter((name) => !name.endsWith(".arriving")),
  );
  const gone = old.filter((name) =>
    name.endsWith(".arriving") ? !inUse(path.join(room, name), name, now) : !kept.has(name),
  );
  for (const name of gone) rmSync(path.join(room, name), { recursive: true, force: true });
  return gone;
}

/** When something in a folder was last written, epoch ms; of what is gone meanwhile: now, and later it is not there. */
function lastWrite(folder: string): number {
  const times = [folder, ...readIfThere(folder).map((name) => path.join(folder, name))].map(
    (at) => statSync(at, { throwIfNoEntry: false })?.mtimeMs ?? Number.POSITIVE_INFINITY,
  );
  return Math.max(...times);
}

function readIfThere(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    if (["ENOENT", "ENOTDIR"].includes((error as NodeJS.ErrnoException).code ?? "")) return [];
    throw error;
  }
}

function inUse(folder: string, name: string, now: number): boolean {
  if (now - lastWrite(folder) > LONG_STILL_MS) return false;
  const pid = Number(/\.(\d+)\.arriving$/.exec(name)?.[1] ?? Number.NaN);
  if (!(pid > 0)) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}

/** Of imports, those whose files are still needed: they are asked about, wait, run, or failed and are to be looked into. */
async function keptImports(db: Database, importIds: string[]): Promise<Set<string>> {
  const accounts = await db.sql<{ id: number }[]>`SELECT id FROM account_directory`;
  const kept = new Set<string>();
  for (const { id } of accounts) {
    const rows = await readTransaction(
      systemActor(id),
      (tx) => tx<{ import_id: string }[]>`
        SELECT import_id FROM import_drop WHERE import_id = ANY(${importIds}) AND status NOT IN ('done', 'cancelled')`,
      db,
    );
    for (const row of rows) kept.add(row.import_id);
  }
  return kept;
}
