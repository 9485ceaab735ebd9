import { createHash } from "node:crypto";
import postgres from "postgres";
import { afterAll, beforeAll, expect, inject } from "vitest";
import { closeDatabase, type Database, openDatabase } from "../../lib/store/database.ts";
import type { DatabaseAddress } from "../../lib/store/embedded.ts";
import { renamed } from "./renamed.ts";

/**
 * A fresh migrated database for one test file, also installed as the process's database, so that doors called
 * without one use it.
 * @returns a getter, because the database exists only once the file's tests run
 */
export function useTestDatabase(): () => Database {
  let open: Database | undefined;
  let name = "";
  const holder = globalThis as { raintripDatabase?: Promise<Database> | undefined };
  beforeAll(async () => {
    const template: DatabaseAddress = inject("template");
    name = `t_${createHash("sha1")
      .update(`${expect.getState().testPath}${process.pid}${Math.round(performance.timeOrigin)}`)
      .digest("hex")
      .slice(0, 16)}`;
    const admin = postgres(inject("adminUrl"), { max: 1, onnotice: () => {} });
    await admin.unsafe(`CREATE DATABASE ${name} TEMPLATE raintrip${template.embedded ? " OWNER raintrip_owner" : ""}`);
    await admin.end();
    open = openDatabase({
      ...template,
      ownerUrl: renamed(template.ownerUrl, name),
      appUrl: renamed(template.appUrl, name),
    });
    holder.raintripDatabase = Promise.resolve(open);
  });
  afterAll(async () => {
    holder.raintripDatabase = undefined;
    if (open) await closeDatabase(open);
    const admin = postgres(inject("adminUrl"), { max: 1, onnotice: () => {} });
    await admin.unsafe(`DROP DATABASE IF EXISTS ${name} WITH (FORCE)`);
    await admin.end();
  });
  return () => {
    if (!open) throw new Error("useTestDatabase: the database is open only while tests run");
    return open;
  };
}
