import "server-only";
import { database } from "../store/database.ts";

/** Live is that this answers; ready is that the database answers with this release's tables. */
export async function readHealth(): Promise<{ live: true; ready: boolean; says: string }> {
  try {
    const { sql } = await database();
    await sql`SELECT site_id FROM standing LIMIT 0`;
    return { live: true, ready: true, says: "ready" };
  } catch (error) {
    return { live: true, ready: false, says: `the database does not answer: ${(error as Error).message}` };
  }
}
