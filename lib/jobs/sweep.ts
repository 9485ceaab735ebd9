import type PgBoss from "pg-boss";
import { systemActor } from "../store/actor.ts";
import { dataFolderId } from "../store/data-folder.ts";
import type { Database } from "../store/database.ts";
import { openPlanRuns } from "../store/plan-run.ts";
import { readTransaction, systemTransaction } from "../store/transaction.ts";
import { addFeedRun, isOpenRun, newestFeedRun } from "../store/weather-feed.ts";
import { QUEUES } from "./boss.ts";
import { checkOutRound } from "./check-out-round.ts";
import { importLockKey, lossLockKey, noticeLockKey, planLockKey, scoreLockKey, weatherLockKey } from "./import-lock.ts";
import { makeSafeRound } from "./make-safe-round.ts";
import { sendAndRing } from "./queue-bell.ts";
import { scoreChanged } from "./refresh-scores.ts";
import { RUN_EVERY_MS, weatherFeed } from "./weather-run.ts";

/**
 * Put back on the queue what fell off it: imports that wait or whose worker died (their lock is free), and
 * accounts whose scores are stale. The queue only wakes workers; the tables say what is to be done. The same round keeps
 * the clocks of people: unanswered alerts and overdue check-outs.
 */
export async function sweep(db: Database, boss: PgBoss, signal?: AbortSignal): Promise<void> {
  await endDeadJobs(db, boss);
  const accounts = await db.sql<{ id: number }[]>`SELECT id FROM account_directory ORDER BY id`;
  for (const { id } of accounts) {
    const open = await readTransaction(
      systemActor(id),
      (tx) =>
        tx<
          { import_id: string }[]
        >`SELECT import_id FROM import_drop WHERE status IN ('waiting', 'running') AND (held_at IS NULL OR held_at = ${dataFolderId()})
          ORDER BY requested_at`,
      db,
    );
    for (const { import_id: importId } of open) {
      if (await lockIsFree(db, importLockKey(id, importId)))
        await sendAndRing(db, boss, QUEUES.importRun, { accountId: id, importId });
    }
    if ((await weatherIsDue(db, id)) && (await lockIsFree(db, weatherLockKey(id))))
      await sendAndRing(db, boss, QUEUES.weatherFetch, { accountId: id }, { singletonKey: String(id) });
    const plans = await readTransaction(systemActor(id), openPlanRuns, db);
    if (plans.length > 0 && (await lockIsFree(db, planLockKey(id))))
      await sendAndRing(db, boss, QUEUES.planRun, { accountId: id }, { singletonKey: String(id) });
    // After a new score of a whole fleet thousands are opened: what somebody waits for is scored between them.
    const first = async () => {
      signal?.throwIfAborted();
      await scoreChanged(systemActor(id), { now: Date.now(), ...(signal ? { signal } : {}) });
    };
    await makeSafeRound(db, id, Date.now(), { first });
    await checkOutRound(db, id, Date.now());
    await sendAndRing(db, boss, QUEUES.noticeSend, { accountId: id }, { singletonKey: String(id) });
    await sendAndRing(db, boss, QUEUES.siteScore, { accountId: id }, { singletonKey: String(id) });
  }
}

/** A job that began longer ago has taken its lock, if its worker lives. */
const LOCK_TAKEN_WITHIN_S = 20;

type JobData = { accountId: number; importId?: string };
const LOCK_OF: Record<string, (data: JobData) => string> = {
  [QUEUES.importRun]: (data) => importLockKey(data.accountId, data.importId ?? ""),
  [QUEUES.siteScore]: (data) => scoreLockKey(data.accountId),
  [QUEUES.weatherFetch]: (data) => weatherLockKey(data.accountId),
  [QUEUES.lossRun]: (data) => lossLockKey(data.accountId),
  [QUEUES.planRun]: (data) => planLockKey(data.accountId),
  [QUEUES.noticeSend]: (data) => noticeLockKey(data.accountId),
};

/**
 * End jobs whose worker was killed: their lock is free. The queue itself would hold them for work in progress until they
 * expire, hours later. What they were to do, the tables still say.
 */
async function endDeadJobs(db: Database, boss: PgBoss): Promise<void> {
  const jobs = await db.sql<{ id: string; name: string; data: JobData }[]>`
    SELECT id, name, data FROM pgboss.job
    WHERE state = 'active' AND name = ANY(${Object.values(QUEUES)}) AND started_on < now() - ${LOCK_TAKEN_WITHIN_S} * interval '1 second'`;
  for (const { id, name, data } of jobs) {
    const key = LOCK_OF[name]?.(data);
    // Without a lock of its own nothing tells a dead worker from a slow one: the queue lets such a job expire.
    if (key === undefined) continue;
    if (await lockIsFree(db, key)) await boss.complete(name, id);
  }
}

/** Whether a run of the weather feed is open, after opening one when the last ended long enough ago. */
async function weatherIsDue(db: Database, accountId: number): Promise<boolean> {
  if (weatherFeed().kind !== "on") return false;
  const actor = systemActor(accountId);
  return systemTransaction(
    actor,
    async (tx) => {
      const run = await newestFeedRun(tx);
      if (isOpenRun(run)) return true;
      const now = Date.now();
      if (run && (now - (run.finishedAt ?? 0) < RUN_EVERY_MS || now < (run.quietUntil ?? 0))) return false;
      const [station] = await tx`SELECT 1 FROM station WHERE account_id = current_account() LIMIT 1`;
      if (!station) return false;
      await addFeedRun(tx, actor.person);
      return true;
    },
    db,
  );
}

async function lockIsFree(db: Database, key: string): Promise<boolean> {
  const [row] = await db.sql.begin(
    (tx) => tx<{ free: boolean }[]>`SELECT pg_try_advisory_xact_lock(hashtextextended(${key}, 0)) AS free`,
  );
  return row?.free ?? false;
}
