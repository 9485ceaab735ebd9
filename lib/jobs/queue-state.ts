import type { Database } from "../store/database.ts";
import { QUEUES } from "./boss.ts";

export interface QueueState {
  /** Jobs by queue. */
  queues: { queue: string; waiting: number; active: number }[];
  /** When a worker last took or finished a job, epoch ms; null: none ever did. Workers make a round every 15 s. */
  workerSeenAt: number | null;
}

/** How long the queue is, and when a worker was last heard of. Bare counts, no account's data. */
export async function queueState(db: Database): Promise<QueueState> {
  const rows = await db.sql<{ name: string; waiting: number; active: number }[]>`
    SELECT name, count(*) FILTER (WHERE state IN ('created', 'retry'))::int AS waiting,
      count(*) FILTER (WHERE state = 'active')::int AS active
    FROM pgboss.job WHERE state IN ('created', 'retry', 'active') GROUP BY name`;
  const [seen] = await db.sql<{ at: Date | null }[]>`
    SELECT greatest(max(started_on), max(completed_on)) AS at FROM pgboss.job WHERE started_on IS NOT NULL`;
  const found = new Map(rows.map((row) => [row.name, row]));
  return {
    queues: Object.values(QUEUES).map((queue) => ({
      queue,
      waiting: found.get(queue)?.waiting ?? 0,
      active: found.get(queue)?.active ?? 0,
    })),
    workerSeenAt: seen?.at?.getTime() ?? null,
  };
}
