import os from "node:os";
import { type Database, WORKER_CONNECTIONS } from "../store/database.ts";

/** As far below the pages as leaves a tenth of a processor where these want all of it (Linux gives by weight). */
const BEHIND = 10;
const LOOK_MS = 5000;

/**
 * Put this process behind the web server, and with the embedded server the backends that work for it too: what is computed may take longer,
 * a page may not. Where the system does not allow it, everything runs as before.
 * @returns a function that ends looking for new backends
 */
export function yieldToPages(db: Database): () => void {
  behind(process.pid);
  // A server of one's own is another machine's, or belongs to another user.
  if (!db.address.embedded) return () => {};
  const done = new Set<number>();
  const look = async () => {
    const rows = await db.sql<{ pid: number }[]>`
      SELECT pid FROM pg_stat_activity WHERE application_name = ${WORKER_CONNECTIONS} AND datname = current_database()`;
    for (const { pid } of rows) if (!done.has(pid)) behind(pid);
    done.clear();
    for (const { pid } of rows) done.add(pid);
  };
  const quietly = () => void look().catch(() => {}); // a database that is away is said by the work itself
  quietly();
  const timer = setInterval(quietly, LOOK_MS);
  timer.unref();
  return () => clearInterval(timer);
}

function behind(pid: number): void {
  try {
    if (os.getPriority(pid) < BEHIND) os.setPriority(pid, BEHIND);
  } catch {
    // Not allowed, or gone.
  }
}
