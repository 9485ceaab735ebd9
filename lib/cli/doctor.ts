import { statfsSync } from "node:fs";
import { weatherFeed } from "../jobs/weather-run.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { database } from "../store/database.ts";
import { migrationFiles } from "../store/migrate.ts";

type Finding = { what: string; ok: boolean; says: string };

/** Checks of this installation, each with what to do when it fails. */
export async function doctorCommand(): Promise<number> {
  const findings: Finding[] = [node()];
  try {
    findings.push(disk(ensureDataFolder()));
    findings.push(...(await databaseFindings()));
  } catch (error) {
    findings.push({ what: "database", ok: false, says: (error as Error).message });
  }
  findings.push(weather());
  for (const f of findings) process.stdout.write(`${f.ok ? "ok  " : "FAIL"} ${f.what}: ${f.says}\n`);
  return findings.every((f) => f.ok) ? 0 : 3;
}

function node(): Finding {
  const [major = 0, minor = 0] = process.versions.node.split(".").map(Number);
  const ok = major > 20 || (major === 20 && minor >= 19);
  return {
    what: "node",
    ok,
    says: ok ? process.versions.node : `${process.versions.node} is too old; install Node 20.19 or newer`,
  };
}

function weather(): Finding {
  const feed = weatherFeed();
  const what = "weather feed";
  if (feed.kind === "wrong") return { what, ok: false, says: `${feed.says}; nothing is fetched` };
  return {
    what,
    ok: true,
    says: feed.kind === "off" ? "off; weather comes from files" : `asks ${feed.settings.baseUrl.host} every hour`,
  };
}

function disk(folder: string): Finding {
  const { bavail, bsize } = statfsSync(folder);
  const freeGb = (bavail * bsize) / 1e9;
  const ok = freeGb > 2;
  return {
    what: "disk",
    ok,
    says: `${freeGb.toFixed(1)} GB free for ${folder}${ok ? "" : "; free some space, PostgreSQL stops when it runs out"}`,
  };
}

async function databaseFindings(): Promise<Finding[]> {
  const { sql, address } = await database();
  const [row] = await sql<{ version: string; skew_ms: number; super: boolean; bypass: boolean }[]>`
    SELECT current_setting('server_version') AS version, extract(epoch FROM clock_timestamp())::float8 * 1000 AS skew_ms,
           rolsuper AS super, rolbypassrls AS bypass FROM pg_roles WHERE rolname = current_user`;
  const skew = Math.abs((row?.skew_ms ?? 0) - Date.now());
  const [table] = await sql<{ there: boolean }[]>`SELECT to_regclass('public.site') IS NOT NULL AS there`;
  return [
    {
      what: "database",
      ok: true,
      says: `PostgreSQL ${row?.version}${address.embedded ? " (embedded)" : " (DATABASE_URL)"}`,
    },
    {
      what: "migrations",
      ok: table?.there === true,
      says: table?.there
        ? `${migrationFiles().length} in this release`
        : "not applied; run: npm run raintrip -- migrate",
    },
    {
      what: "clock",
      ok: skew < 5000,
      says:
        skew < 5000
          ? "database and this machine agree"
          : `they differ by ${Math.round(skew / 1000)} s; set both by NTP`,
    },
    {
      what: "row security",
      ok: !row?.super && !row?.bypass,
      says:
        row?.super || row?.bypass
          ? "the application's database role can bypass row security; use the role raintrip_app"
          : "the application's role cannot bypass it",
    },
  ];
}
