import { existsSync, rmSync } from "node:fs";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { readTransaction } from "../store/transaction.ts";
import { endImport, runImport } from "../writes/import-drop.ts";
import { holdingLock } from "./hold-lock.ts";
import { importLockKey } from "./import-lock.ts";
import { uploadFolder } from "./upload-folder.ts";

/**
 * Run one uploaded import, unless another process runs it or it has ended. Safe to call any number of times.
 */
export async function runImportJob(db: Database, actor: Actor, importId: string, signal: AbortSignal): Promise<void> {
  await holdingLock(db, importLockKey(actor.accountId, importId), { waits: false }, async () => {
    const [drop] = await readTransaction(
      actor,
      (tx) =>
        tx<
          { status: string; requested_by: string }[]
        >`SELECT status, requested_by FROM import_drop WHERE import_id = ${importId}`,
      db,
    );
    if (!drop || (drop.status !== "waiting" && drop.status !== "running")) return;
    const asker: Actor = { ...actor, person: drop.requested_by };
    if (!existsSync(uploadFolder(importId))) {
      // It was run from files of the command line's own, by a process that is no more.
      await endImport(asker, importId, "The command that ran this import was ended before it was done. Run it again.");
      return;
    }
    await runImport(asker, importId, { folder: uploadFolder(importId) }, { signal });
    // Every row is stored or set aside now; a failed import keeps its files.
    rmSync(uploadFolder(importId), { recursive: true, force: true });
  });
}
