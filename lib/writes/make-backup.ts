import "server-only";
import path from "node:path";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { type BackupDone, backUp } from "../store/backup.ts";
import type { Database } from "../store/database.ts";
import { writeTransaction } from "../store/transaction.ts";

/** Back everything up into a file and enter in the audit log who took all records out of the house. */
export async function makeBackup(
  actor: Actor,
  db: Database,
  { file, madeAt }: { file: string; madeAt: number },
): Promise<BackupDone> {
  authorise(actor, "backup.make");
  const done = await backUp(db.address, file, madeAt);
  const rows = done.tables.reduce((sum, t) => sum + t.rows, 0);
  const note = {
    action: "backup.make",
    subject: path.basename(done.file),
    detail: { rows, tables: done.tables.length, photos: done.photos.count, photosMissing: done.photos.missing_count },
  };
  await writeTransaction(actor, async () => ({ result: null, note }), db);
  return done;
}
