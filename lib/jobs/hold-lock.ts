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
