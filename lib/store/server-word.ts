import type { Database } from "./database.ts";

/**
 * Hear what others tell by NOTIFY on a channel of the database. Through a pooler in transaction mode nothing is heard: whoever
 * listens looks now and then besides.
 * @param heard given what was told; null: the connection is new, and something may have been missed before
 * @returns whether anything will be heard, and a function that ends it
 */
export async function hearing(
  db: Database,
  channel: string,
  heard: (told: string | null) => void,
): Promise<{ hears: boolean; end: () => Promise<void> }> {
  const deaf = { hears: false, end: async () => {} };
  if (db.address.pooledSignInUrl !== undefined) return deaf;
  try {
    const listening = await db.sql.listen(channel, heard, () => heard(null));
    return { hears: true, end: () => listening.unlisten().catch(() => {}) }; // the database is away: nothing is heard anyway
  } catch {
    return deaf;
  }
}
