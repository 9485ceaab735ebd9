import type { Database } from "../store/database.ts";
import { planLockKey } from "./import-lock.ts";
import { queueState } from "./queue-state.ts";

/** Rounds of the worker are 15 s apart: two of them missed, and nobody is there. */
const SILENT_MS = 40_000;

export interface PlanTaken {
  /** A process works on the plans of this account now. */
  working: boolean;
  /** When a worker was last heard of, epoch ms; null: never. */
  workerSeenAt: number | null;
  /** Nothing takes the work. */
  silent: boolean;
}

/** Whether somebody works on the plan runs of an account. It looks at the lock without touching it. */
export async function planTaken(db: Database, accountId: number, now: number): Promise<PlanTaken> {
  const [row] = await db.sql<{ held: boolean }[]>`
    SELECT EXISTS (SELECT 1 FROM pg_locks WHERE locktype = 'advisory' AND objsubid = 1 AND granted
      AND database = (SELECT oid FROM pg_database WHERE datname = current_database())
      AND ((classid::bigint << 32) | objid::bigint) = hashtextextended(${planLockKey(accountId)}, 0)) AS held`;
  const { workerSeenAt } = await queueState(db);
  const working = row?.held ?? false;
  return { working, workerSeenAt, silent: !working && (workerSeenAt === null || now - workerSeenAt > SILENT_MS) };
}
