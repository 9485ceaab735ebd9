import type { Database } from "../store/database.ts";

interface LockOptions {
  /** true: wait until another process lets it go; false: leave it to that process. */
  waits: boolean;
  /** Held beside others who share it; it tells that somebody is at work, and keeps nobody from joining. */
  isShared?: boolean;
}

/**
 * Do something while this process holds a lock of the database, which frees it by itself when the process dies.
 * @returns what the work returned; null when another process holds the lock and it is not waited for
 */
export async function holdingLock<T>(
  db: Database,
  key: string,
  options: LockOptions,
  work: () => Promise<T>,
): Promise<T | null> {
  if (db.address.pooledSignInUrl !== undefined) return holdingInTransaction(db, key, options, work);
  const kind = options.isShared ? "_shared" : "";
  const connection = await db.sql.reserve();
  try {
    if (options.waits) {
      await connection`SELECT ${connection.unsafe(`pg_advisory_lock${kind}`)}(hashtextextended(${key}, 0))`;
    } else {
      const [row] = await connection<
        { got: boolean }[]
      >`SELECT ${connection.unsafe(`pg_try_advisory_lock${kind}`)}(hashtextextended(${key}, 0)) AS got`;
      if (!row?.got) return null;
    }
    try {
      return await work();
    } finally {
      await connection`SELECT ${connection.unsafe(`pg_advisory_unlock${kind}`)}(hashtextextended(${key}, 0))`;
    }
  } finally {
    connection.release();
  }
}

/**
 * The same through a pooler in transaction mode: only a transaction keeps its connection, so one stays open, with nothing in it
 * but the lock, until the work has ended.
 */
async function holdingInTransaction<T>(
  db: Database,
  key: string,
  { waits, isShared }: LockOptions,
  work: () => Promise<T>,
): Promise<T | null> {
  const kind = isShared ? "_shared" : "";
  let working: Promise<T> | null = null;
  try {
    const held = await db.sql.begin(async (tx) => {
      await tx`SET LOCAL idle_in_transaction_session_timeout = 0`;
      if (waits) await tx`SELECT ${tx.unsafe(`pg_advisory_xact_lock${kind}`)}(hashtextextended(${key}, 0))`;
      else {
        const [row] = await tx<
          { got: boolean }[]
        >`SELECT ${tx.unsafe(`pg_try_advisory_xact_lock${kind}`)}(hashtextextended(${key}, 0)) AS got`;
        if (!row?.got) return { got: null };
      }
      working = work();
      return { got: await working };
    });
    return held.got as T | null;
  } catch (error) {
    // With the connection gone the transaction is over at once: whoever waits for this must not run beside the work.
    await (working as Promise<T> | null)?.catch(() => {});
    throw error;
  }
}
