import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { closeDatabase, type Database, openDatabase } from "../../lib/store/database.ts";
import { attachEmbedded, releaseEmbedded } from "../../lib/store/embedded.ts";
import { migrate } from "../../lib/store/migrate.ts";

/** A migrated embedded server in a folder of its own, as the process's database, gone at the end. */
export async function testInstallation(): Promise<{ db: Database; close: () => Promise<void> }> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-long-"));
  chmodSync(folder, 0o755); // the postgres user must be able to enter
  const address = await attachEmbedded(folder);
  await migrate(address);
  const db = openDatabase(address);
  const holder = globalThis as { raintripDatabase?: Promise<Database> | undefined };
  holder.raintripDatabase = Promise.resolve(db);
  const close = async () => {
    holder.raintripDatabase = undefined;
    await closeDatabase(db);
    await releaseEmbedded(folder);
    rmSync(folder, { recursive: true, force: true });
  };
  return { db, close };
}
