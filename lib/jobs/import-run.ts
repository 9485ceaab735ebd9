import { existsSync, rmSync } from "node:fs";
import type { Actor } from "../store/actor.ts";
import { dataFolderId } from "../store/data-folder.ts";
import type { Database } from "../store/database.ts";
import { readTransaction } from "../store/transaction.ts";
import { endImport, runImport } from "../writes/import-drop.ts";
import { holdingLock } from "./hold-lock.ts";
import { importLockKey } from "./import-lock.ts";
import { uploadFolder } from "./upload-folder.ts";

/**
 * Run one uploaded import, unless another process runs it or it has ended. Safe to call any number of times.
 * @returns false: its files lie with another host's worker, which has to run it
 */
export async function runImportJob(
  db: Database,
  actor: Actor,
  importId: string,
  signal: AbortSignal,
): Promise<boolean> {
  const here = await holdingLock(db, importLockKey(actor.accountId, importId), { waits: false }, async () => {
    const [drop] = await readTransaction(
      actor,
      (tx) =>
        tx<
          { status: string; requested_by: string; held_at: string | null }[]
        >`SELECT status, requested_by, held_at FROM import_drop WHERE import_id = ${importId}`,
      db,
    );
    if (!drop || (drop.status !== "waiting" && drop.status !== "running")) return true;
    if (drop.held_at !== null && drop.held_at !== dataFolderId()) return false;
    const asker: Actor = { ...actor, person: drop.requested_by };
    if (!existsSync(uploadFolder(importId))) {
      // It was run from files of the command line's own, by a process that is no more.
      const says = drop.held_at
        ? "Its files are gone from the server's disk. Send them again."
        : "The command that ran this import was ended before it was done. Run it again.";
      await endImport(asker, importId, says);
      return true;
    }
    await runImport(asker, importId, { folder: uploadFolder(importId) }, { signal });
    // Every row is stored or set aside now; a failed import keeps its files.
    rmSync(uploadFolder(importId), { recursive: true, force: true });
    return true;
  });
  return here ?? true;
}
