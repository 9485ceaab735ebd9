import { existsSync, statfsSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { queueState } from "../jobs/queue-state.ts";
import { weatherFeed } from "../jobs/weather-run.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { type Database, database } from "../store/database.ts";
import { migrationFiles, pendingMigrations } from "../store/migrate.ts";
import { findBrowser } from "./find-browser.ts";

/** `ok` works; `FAIL` must be mended; `note` is worth knowing and stops nothing. */
type Finding = { what: string; state: "ok" | "note" | "FAIL"; says: string };

/** Checks of this installation, each with what to do when it fails. Exit status 3 when one fails. */
export async function doctorCommand(): Promise<number> {
  const findings: Finding[] = [node(), pages(), fonts(), browser()];
  try {
    findings.push(disk(ensureDataFolder()));
    findings.push(...(await databaseFindings(await database())));
  } catch (error) {
    findings.push({ what: "database", state: "FAIL", says: (error as Error).message });
  }
  findings.push(weather());
  for (const f of findings) process.stdout.write(`${f.state.padEnd(4)} ${f.what}: ${f.says}\n`);
  return findings.every((f) => f.state !== "FAIL") ? 0 : 3;
}

function node(): Finding {
  const [major = 0, minor = 0] = process.versions.node.split(".").map(Number);
  const ok = major > 20 || (major === 20 && minor >= 19);
  return {
    what: "node",
    state: ok ? "ok" : "FAIL",
    says: ok ? process.versions.node : `${process.versions.node} is too old; install Node 20.19 or newer`,
  };
}

function pages(): Finding {
  const built = existsSync(path.join(process.cwd(), ".next", "BUILD_ID"));
  return {
    what: "pages",
    state: built ? "ok" : "note",
    says: built ? "built" : "not built yet; npm start builds them at its first start",
  };
}

function fonts(): Finding {
  const what = "fonts";
  try {
    const require = createRequire(import.meta.url);
    const folder = path.dirname(require.resolve("@fontsource-variable/inter/package.json"));
    const file = path.join(folder, "files", "inter-latin-wght-normal.woff2");
    if (existsSync(file))
      return { what, state: "ok", says: "come with the program; nothing is fetched from elsewhere" };
  } catch {
    // not installed: said below
  }
  return { what, state: "FAIL", says: "the font of the pages is not installed; run: npm ci" };
}

function browser(): Finding {
  const found = findBrowser();
  return {
    what: "browser",
    state: found ? "ok" : "note",
    says: found
      ? `${found} (for the browser tests; people use any current browser)`
      : "no Chromium here. Pages need none on this machine; the browser tests do: npx playwright install chromium",
  };
}

function weather(): Finding {
  const feed = weatherFeed();
  const what = "weather feed";
  if (feed.kind === "wrong") return { what, state: "FAIL", says: `${feed.says}; nothing is fetched` };
  return {
    what,
    state: "ok",
    says: feed.kind === "off" ? "off; weather comes from files" : `asks ${feed.settings.baseUrl.host} every hour`,
  };
}

const LEAST_FREE_GB = 2;

function disk(folder: string): Finding {
  const { bavail, bsize } = statfsSync(folder);
  const freeGb = (bavail * bsize) / 1e9;
  const ok = freeGb > LEAST_FREE_GB;
  return {
    what: "disk",
    state: ok ? "ok" : "FAIL",
    says: `${freeGb.toFixed(1)} GB free for ${folder}${ok ? "" : "; free some space, PostgreSQL stops when it runs out"}`,
  };
}

async function databaseFindings(db: Database): Promise<Finding[]> {
  const { sql, address } = db;
  const [row] = await sql<{ version: string; number: number; at_ms: number; super: boolean; bypass: boolean }[]>`
    SELECT current_setting('server_version') AS version, current_setting('server_version_num')::int AS number,
           extract(epoch FROM clock_timestamp())::float8 * 1000 AS at_ms,
           rolsuper AS super, rolbypassrls AS bypass FROM pg_roles WHERE rolname = current_user`;
  const recent = (row?.number ?? 0) >= 150_000;
  return [
    {
      what: "database",
      state: recent ? "ok" : "FAIL",
      says: `PostgreSQL ${row?.version}${address.embedded ? " (embedded)" : " (DATABASE_URL)"}${recent ? "" : "; 15 or newer is needed"}`,
    },
    await migrations(db),
    clock(Math.abs((row?.at_ms ?? 0) - Date.now())),
    {
      what: "row security",
      state: row?.super || row?.bypass ? "FAIL" : "ok",
      says:
        row?.super || row?.bypass
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

function clock(skewMs: number): Finding {
  const ok = skewMs < MOST_SKEW_MS;
  return {
    what: "clock",
    state: ok ? "ok" : "FAIL",
    says: ok ? "database and this machine agree" : `they differ by ${Math.round(skewMs / 1000)} s; set both by NTP`,
  };
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
