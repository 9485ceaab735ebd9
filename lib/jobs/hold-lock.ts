import type { Database } from "../store/database.ts";

/**
 * Do something while this process holds a lock of the database, which frees it by itself when the process dies.
 * @param options.waits true: wait until another process lets it go; false: leave it to that process
 * @returns what the work returned; null when another process holds the lock and it is not waited for
 */
export async function holdingLock<T>(
  db: Database,
  key: string,
  options: { waits: boolean },
  work: () => Promise<T>,
): Promise<T | null> {
  if (db.address.pooledSignInUrl !== undefined) return holdingInTransaction(db, key, options, work);
  const connection = await db.sql.reserve();
  try {
    if (options.waits) {
      await connection`SELECT pg_advisory_lock(hashtextextended(${key}, 0))`;
    } else {
      const [row] = await connection<
        { got: boolean }[]
      >`SELECT pg_try_advisory_lock(hashtextextended(${key}, 0)) AS got`;
      if (!row?.got) return null;
    }
    try {
      return await work();
    } finally {
      await connection`SELECT pg_advisory_unlock(hashtextextended(${key}, 0))`;
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
  { waits }: { waits: boolean },
  work: () => Promise<T>,
): Promise<T | null> {
  let working: Promise<T> | null = null;
  try {
    const held = await db.sql.begin(async (tx) => {
      await tx`SET LOCAL idle_in_transaction_session_timeout = 0`;
      if (waits) await tx`SELECT pg_advisory_xact_lock(hashtextextended(${key}, 0))`;
      else {
        const [row] = await tx<
          { got: boolean }[]
        >`SELECT pg_try_advisory_xact_lock(hashtextextended(${key}, 0)) AS got`;
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
