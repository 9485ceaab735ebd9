import { type Database, database } from "../store/database.ts";
import { migrate } from "../store/migrate.ts";
import { installQueue } from "./boss.ts";

/** The process's database, brought to this release first: what every command and the server start with. */
export async function readyDatabase(): Promise<{ db: Database; applied: string[] }> {
  const db = await database();
  const applied = await migrate(db.address);
  await installQueue(db.address);
  return { db, applied };
}
