import { createHash, randomUUID } from "node:crypto";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import postgres from "postgres";
import { AppError } from "../core/app-error.ts";
import type { DatabaseAddress } from "./embedded.ts";

// From this file; where the server has been bundled, from the folder it runs in.
const BESIDE = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "..", "..", "prisma", "migrations");
const MIGRATIONS = existsSync(BESIDE) ? BESIDE : path.join(process.cwd(), "prisma", "migrations");
const LOCK_KEY = 72_000_001;

export interface MigrationFile {
  name: string;
  sql: string;
  checksum: string;
}

/** The migrations of this release, in order. */
export function migrationFiles(folder = MIGRATIONS): MigrationFile[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name)
    .sort()
    .map((name) => {
      const sql = readFileSync(path.join(folder, name, "migration.sql"), "utf8");
      return { name, sql, checksum: createHash("sha256").update(sql).digest("hex") };
    });
}

/** Names of this release's migrations that a database has not applied, asked as the application. */
export async function pendingMigrations(sql: postgres.Sql, folder = MIGRATIONS): Promise<string[]> {
  const [table] = await sql<{ there: boolean }[]>`SELECT to_regclass('public._prisma_migrations') IS NOT NULL AS there`;
  const applied = table?.there
    ? await sql<{ migration_name: string }[]>`
        SELECT migration_name FROM _prisma_migrations WHERE rolled_back_at IS NULL AND finished_at IS NOT NULL`
    : [];
  const done = new Set(applied.map((row) => row.migration_name));
  return migrationFiles(folder)
    .map((m) => m.name)
    .filter((name) => !done.has(name));
}

/**
 * Apply pending migrations as Prisma would record them, one transaction each, under an advisory lock so that
 * several processes may start at once.
 * @returns names applied now
 * @throws AppError `database_outdated` when an applied migration was changed or is unknown to this release
 */
export async function migrate(address: DatabaseAddress, folder = MIGRATIONS): Promise<string[]> {
  await makeRoles(address);
  const sql = postgres(address.ownerUrl, { max: 1, onnotice: () => {}, connect_timeout: 10 });
  try {
    await sql`SELECT pg_advisory_lock(${LOCK_KEY})`;
    await sql.unsafe(`CREATE TABLE IF NOT EXISTS _prisma_migrations (
      id varchar(36) PRIMARY KEY, checksum varchar(64) NOT NULL, finished_at timestamptz,
      migration_name varchar(255) NOT NULL, logs text, rolled_back_at timestamptz,
      started_at timestamptz NOT NULL DEFAULT now(), applied_steps_count integer NOT NULL DEFAULT 0)`);
    const applied = await sql<{ migration_name: string; checksum: string }[]>`
      SELECT migration_name, checksum FROM _prisma_migrations WHERE rolled_back_at IS NULL AND finished_at IS NOT NULL`;
    const known = new Map(migrationFiles(folder).map((m) => [m.name, m]));
    for (const row of applied) {
      const file = known.get(row.migration_name);
      if (!file || file.checksum !== row.checksum) {
        throw new AppError("database_outdated", {
          message: file
            ? `Migration ${row.migration_name} was changed after this database applied it. Restore the file, or start from a backup.`
            : `This database is newer than this program (it has ${row.migration_name}). Start the newer Raintrip.`,
        });
      }
    }
    const done = new Set(applied.map((row) => row.migration_name));
    const pending = [...known.values()].filter((m) => !done.has(m.name));
    for (const m of pending) {
      await sql.begin(async (tx) => {
        await tx.unsafe(m.sql);
        // Tables that a migration made and did not hold to whoever may see them are held now (see the migration of sign-in),
        // before the next one that may change how.
        const [settles] = await tx<
          { there: boolean }[]
        >`SELECT to_regprocedure('settle_scopes()') IS NOT NULL AS there`;
        if (settles?.there) await tx`SELECT settle_scopes()`;
        await tx`INSERT INTO _prisma_migrations (id, checksum, finished_at, migration_name, applied_steps_count)
          VALUES (${randomUUID()}, ${m.checksum}, now(), ${m.name}, 1)`;
      });
    }
    return pending.map((m) => m.name);
  } catch (error) {
    throw reachability(error);
  } finally {
    await sql.end({ timeout: 5 });
  }
}

/** The application's role: logs in on the embedded server, is switched to on a server of the user's own. Never bypasses row security. */
async function makeRoles(address: DatabaseAddress): Promise<void> {
  const admin = postgres(address.bootstrapUrl ?? address.ownerUrl, { max: 1, onnotice: () => {}, connect_timeout: 10 });
  try {
    await admin`SELECT pg_advisory_lock(${LOCK_KEY})`;
    const have = new Set(
      (await admin<{ rolname: string }[]>`SELECT rolname FROM pg_roles WHERE rolname LIKE 'raintrip_%'`).map(
        (r) => r.rolname,
      ),
    );
    if (address.bootstrapUrl) {
      for (const url of [address.ownerUrl, address.appUrl]) {
        const { username, password } = new URL(url);
        if (!have.has(username)) {
          await admin.unsafe(
            `CREATE ROLE ${username} LOGIN NOSUPERUSER NOBYPASSRLS NOCREATEDB NOCREATEROLE PASSWORD '${password}'`,
          );
        }
      }
      const database = new URL(address.ownerUrl).pathname.slice(1);
      const found = await admin`SELECT 1 FROM pg_database WHERE datname = ${database}`;
      if (found.length === 0) await admin.unsafe(`CREATE DATABASE "${database}" OWNER raintrip_owner`);
    } else if (!have.has("raintrip_app")) {
      await admin.unsafe("CREATE ROLE raintrip_app NOLOGIN NOSUPERUSER NOBYPASSRLS NOCREATEDB NOCREATEROLE");
      await admin.unsafe("GRANT raintrip_app TO CURRENT_USER");
    }
  } catch (error) {
    throw reachability(error);
  } finally {
    await admin.end({ timeout: 5 });
  }
}

function reachability(error: unknown): unknown {
  if (error instanceof AppError) return error;
  const code = (error as { code?: string }).code ?? "";
  if (
    ["ECONNREFUSED", "ENOTFOUND", "CONNECT_TIMEOUT", "ETIMEDOUT", "EAI_AGAIN", "28P01", "28000", "3D000"].includes(code)
  ) {
    return new AppError("database_unreachable", {
      message: `The database cannot be reached (${(error as Error).message}). Check DATABASE_URL, that the server runs, and that it lets this user in.`,
      cause: error,
    });
  }
  if (code === "42501") {
    return new AppError("database_unreachable", {
      message: `The database user may not do what a migration needs (${(error as Error).message}). It must own the database and may need CREATEROLE once, to make the role raintrip_app.`,
      cause: error,
    });
  }
  return error;
}
