import type PgBoss from "pg-boss";
import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { readTransaction } from "../store/transaction.ts";
import { QUEUES } from "./boss.ts";
import { importLockKey } from "./import-lock.ts";

/**
 * Put back on the queue what fell off it: imports that wait or whose worker died (their lock is free), and
 * accounts whose scores are stale. The queue only wakes workers; the tables say what is to be done.
 */
export async function sweep(db: Database, boss: PgBoss): Promise<void> {
  const accounts = await db.sql<{ id: number }[]>`SELECT id FROM account_directory ORDER BY id`;
  for (const { id } of accounts) {
    const open = await readTransaction(
      systemActor(id),
      (tx) =>
        tx<
          { import_id: string }[]
        >`SELECT import_id FROM import_drop WHERE status IN ('waiting', 'running') ORDER BY requested_at`,
      db,
    );
    for (const { import_id: importId } of open) {
      if (await lockIsFree(db, importLockKey(id, importId)))
        await boss.send(QUEUES.importRun, { accountId: id, importId });
    }
    await boss.send(QUEUES.siteScore, { accountId: id }, { singletonKey: String(id) });
  }
}

async function lockIsFree(db: Database, key: string): Promise<boolean> {
  const [row] = await db.sql.begin(
    (tx) => tx<{ free: boolean }[]>`SELECT pg_try_advisory_xact_lock(hashtextextended(${key}, 0)) AS free`,
  );
  return row?.free ?? false;
}
