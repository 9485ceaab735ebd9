import "server-only";
import { database } from "../store/database.ts";
import { pendingMigrations } from "../store/migrate.ts";

export interface Health {
  live: true;
  ready: boolean;
  says: string;
}

const PATIENCE_MS = 5000;

/** Live is that this answers; ready is that the database answers, in time, with this release's tables. */
export async function readHealth(): Promise<Health> {
  try {
    const pending = await within(PATIENCE_MS, async () => pendingMigrations((await database()).sql));
    if (pending.length > 0)
      return {
        live: true,
        ready: false,
        says: `${pending.length} migrations are not applied; run: npm run raintrip -- migrate`,
      };
    return { live: true, ready: true, says: "ready" };
  } catch (error) {
    return { live: true, ready: false, says: `the database does not answer: ${(error as Error).message}` };
  }
}

async function within<T>(ms: number, work: () => Promise<T>): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(`nothing came within ${ms / 1000} s`)), ms);
  });
  try {
    return await Promise.race([work(), late]);
  } finally {
    clearTimeout(timer);
  }
}
