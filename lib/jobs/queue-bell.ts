import type PgBoss from "pg-boss";
import type { Database } from "../store/database.ts";
import { log } from "../store/log.ts";

/** Channel on which workers are told that a queue has a job, so that none waits for somebody to look. */
export const BELL = "raintrip_queue";

/** Put a job on a queue and ring for it; one that is to begin later is found by looking. */
export async function sendAndRing(
  db: Database,
  boss: PgBoss,
  queue: string,
  data: object,
  options: PgBoss.SendOptions = {},
): Promise<void> {
  await boss.send(queue, data, options);
  if (options.startAfter !== undefined) return;
  // The job is there: whoever does not hear of it looks twice a second.
  await db.sql`SELECT pg_notify(${BELL}, ${queue})`.catch((error: Error) => log.warn({ err: error, queue }, "no bell"));
}
