import { queueState } from "../jobs/queue-state.ts";
import { closeDatabase, type Database, databaseAddress, letGo, openDatabase } from "../store/database.ts";
import type { DatabaseAddress } from "../store/embedded.ts";
import { migrationFiles, pendingMigrations } from "../store/migrate.ts";
import type { Finding } from "./finding.ts";

const PATIENCE_MS = 12_000;

/** What the database says of itself, or why nothing can be asked of it; in time, also when nothing ever comes back. */
export async function databaseFindings(): Promise<Finding[]> {
  let address: DatabaseAddress | null = null;
  let db: Database | null = null;
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(Object.assign(new Error(), { code: "CONNECT_TIMEOUT" })), PATIENCE_MS);
  });
  const ask = async () => {
    address = await databaseAddress();
    db = openDatabase(address);
    return findings(db);
  };
  try {
    return await Promise.race([ask(), late]);
  } catch (error) {
    return [databaseTrouble(error as Error, address)];
  } finally {
    clearTimeout(timer);
    // What hangs is left to the end of the process.
    if (db)
      await Promise.race([closeDatabase(db), new Promise((resolve) => setTimeout(resolve, 1000))]).catch(() => {});
    if (address) await letGo(address);
  }
}

/** Why the database cannot be asked, with what to do about it. */
export function databaseTrouble(error: Error & { code?: string }, address: DatabaseAddress | null): Finding {
  const { code = "" } = error;
  const url = address && !address.embedded && URL.canParse(address.appUrl) ? new URL(address.appUrl) : null;
  const where = url
    ? `${url.hostname}:${url.port || 5432}`
    : address?.embedded
      ? "the embedded server"
      : "the database server";
  const name = url?.pathname.slice(1) || url?.username || "";
  const fail = (says: string, what = "database"): Finding => ({ what, state: "FAIL", says });
  // The application's role is made by the first migration.
  const notSetUp = fail(
    "the tables of this release are not set up yet; run: npm start, or: npm run raintrip -- migrate",
    "migrations",
  );
  if (code === "22023" && /role/.test(error.message)) return notSetUp;
  if (address?.embedded && (code === "28P01" || code === "28000" || code === "3D000")) return notSetUp;
  if (code === "ECONNREFUSED" || code === "ECONNRESET")
    return fail(`nobody answers at ${where}; start PostgreSQL there, or correct the address in DATABASE_URL`);
  if (code === "ENOTFOUND" || code === "EAI_AGAIN")
    return fail(
      `the host name ${url?.hostname} is not known on this machine; correct it in DATABASE_URL, or its name service`,
    );
  if (/TIMEOUT|ETIMEDOUT|EHOSTUNREACH|ENETUNREACH/.test(code))
    return fail(
      `nothing comes back from ${where}; look whether host and port in DATABASE_URL are right and no firewall lies in between`,
    );
  if (code === "28P01" || code === "28000")
    return fail(
      `${where} does not let "${url?.username}" in (${error.message}); correct user and password in DATABASE_URL, or the server's pg_hba.conf`,
    );
  if (code === "3D000")
    return fail(`${where} has no database "${name}"; make it (createdb ${name}), or correct DATABASE_URL`);
  if (code === "57P03") return fail(`${where} is starting or stopping; run this again in a minute`);
  if (code === "53300")
    return fail(`${where} has no connection left; raise its max_connections, or lower RAINTRIP_POOL_SIZE`);
  return fail(error.message || code);
}

async function findings(db: Database): Promise<Finding[]> {
  const { sql, address } = db;
  const [row] = await sql<{ version: string; number: number; at_ms: number; super: boolean; bypass: boolean }[]>`
    SELECT current_setting('server_version') AS version, current_setting('server_version_num')::int AS number,
           extract(epoch FROM clock_timestamp())::float8 * 1000 AS at_ms,
           rolsuper AS super, rolbypassrls AS bypass FROM pg_roles WHERE rolname = current_user`;
  const recent = (row?.number ?? 0) >= 150_000;
  const bypasses = row?.super || row?.bypass;
  return [
    {
      what: "database",
      state: recent ? "ok" : "FAIL",
      says: `PostgreSQL ${row?.version}${address.embedded ? " (embedded)" : " (DATABASE_URL)"}${recent ? "" : "; 15 or newer is needed"}`,
    },
    await migrations(db),
    clock(Date.now(), row?.at_ms ?? 0),
    {
      what: "row security",
      state: bypasses ? "FAIL" : "ok",
      says: bypasses
        ? "the application's database role can bypass row security; use the role raintrip_app"
        : "the application's role cannot bypass it",
    },
    await worker(db),
  ];
}

async function migrations({ sql }: Database): Promise<Finding> {
  const pending = await pendingMigrations(sql).catch(() => migrationFiles().map((m) => m.name));
  return {
    what: "migrations",
    state: pending.length === 0 ? "ok" : "FAIL",
    says:
      pending.length === 0
        ? `all ${migrationFiles().length} of this release are applied`
        : `${pending.length} of this release are not applied (first: ${pending[0]}); run: npm run raintrip -- migrate`,
  };
}

const MOST_SKEW_MS = 5000;
/** Migrations are named in their order, some a little ahead of the day that they were written on. */
const NAMED_AHEAD_MS = 3 * 86_400_000;

/** Whether the clock can be right: not before this release was made, and the database's the same. */
export function clock(now: number, databaseNow: number): Finding {
  const what = "clock";
  const made = releasedAt();
  const iso = new Date(now).toISOString().slice(0, 16);
  if (now < made - NAMED_AHEAD_MS)
    return {
      what,
      state: "FAIL",
      says: `this machine's clock says ${iso}Z, which is before this release was made; set it by NTP. Scores, deadlines and sign-ins go by it`,
    };
  const skewMs = Math.abs(databaseNow - now);
  if (skewMs < MOST_SKEW_MS) return { what, state: "ok", says: `${iso}Z, and the database's agrees` };
  return {
    what,
    state: "FAIL",
    says: `this machine's and the database's differ by ${Math.round(skewMs / 1000)} s; set both by NTP. Audit, deadlines and sign-ins go by them`,
  };
}

/** The newest migration's name begins with about the day that it was made on, UTC. */
function releasedAt(): number {
  const day = /^(\d{4})(\d\d)(\d\d)/.exec(migrationFiles().at(-1)?.name ?? "");
  return day ? Date.UTC(Number(day[1]), Number(day[2]) - 1, Number(day[3])) : 0;
}

const WORKER_SILENT_MS = 90_000;

async function worker(db: Database): Promise<Finding> {
  const what = "worker";
  const state = await queueState(db).catch(() => null);
  if (!state?.workerSeenAt)
    return { what, state: "note", says: "none has run yet; npm start runs one, or: npm run raintrip -- worker" };
  const waiting = state.queues.reduce((sum, queue) => sum + queue.waiting, 0);
  const ago = Date.now() - state.workerSeenAt;
  if (ago < WORKER_SILENT_MS) return { what, state: "ok", says: `heard of ${Math.round(ago / 1000)} s ago` };
  return {
    what,
    state: "note",
    says: `last heard of ${new Date(state.workerSeenAt).toISOString()}, ${waiting} jobs wait; npm start runs one, or: npm run raintrip -- worker`,
  };
}
