import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type postgres from "postgres";
import { afterAll, beforeAll, expect, test } from "vitest";
import { refreshScores, scoreChanged } from "../../lib/jobs/refresh-scores.ts";
import { scorePlan } from "../../lib/jobs/score-plan.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import type { Database } from "../../lib/store/database.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { createImport, runImport } from "../../lib/writes/import-drop.ts";
import { writeLargeFleet } from "../../seed/write-large-fleet.ts";
import { adminConnection } from "../support/admin-connection.ts";
import { countedWork } from "../support/counted-work.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { storedColumns } from "../support/stored-columns.ts";
import { useTestDatabase } from "../support/test-database.ts";

// What one new record costs, in an account of two sizes.
const database = useTestDatabase();
const NOW = Date.UTC(2026, 10, 20);
const SITES = 24;
/** Rows of a table more than before that say nothing of the 1,500 sites: the log of the account has grown meanwhile too. */
const MORE = 500;
const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-one-change-"));
let admin: postgres.Sql;

beforeAll(async () => {
  process.env.RAINTRIP_DATA = data;
  admin = adminConnection(database());
  await writeLargeFleet(path.join(data, "drop"), { seed: "one change", sites: SITES, years: 0.2 });
  await brought(path.join(data, "drop"));
  await refreshScores(LOCAL_ACTOR, { now: NOW });
});
afterAll(async () => {
  await admin.end();
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

async function brought(folder: string): Promise<void> {
  const importId = await createImport(LOCAL_ACTOR, { name: "drop" });
  await runImport(LOCAL_ACTOR, importId, { folder });
}

/** The process's database for a while, so that doors that take none are counted too. */
async function within(db: Database, work: () => Promise<unknown>): Promise<void> {
  const holder = globalThis as { raintripDatabase?: Promise<Database> | undefined };
  const before = holder.raintripDatabase;
  holder.raintripDatabase = Promise.resolve(db);
  await work().finally(() => {
    holder.raintripDatabase = before;
  });
}

const fault = (siteId: string, at: string) =>
  dropFolder({ "faults.csv": `site_id,inverter_id,started_at,ended_at,code\n${siteId},INV1,${at},${at},1\n` });

/** Copies of a scored site with all that is stored of it, in books and places of their own. */
async function grow(count: number): Promise<void> {
  await admin`SELECT set_config('raintrip.account', '1', false), set_config('raintrip.role', 'system', false)`;
  for (const table of ["portfolio", "site", "inverter", "section", "standing", "inverter_log"]) {
    const own = `jsonb_build_object('site_id', 'X' || n, 'portfolio', 'Book X' || n / 100, 'name', 'Site X' || n, 'latitude', 30 + n * 0.01,
      'installer', 'Installer X' || n / 50, 'hardware_batch', 'X' || n / 50, 'rank', NULL, 'log_source', NULL)`;
    const from = table === "portfolio" ? "portfolio s" : `${table} s WHERE s.site_id = 'S00001'`;
    const columns = await storedColumns(admin, table);
    const values = columns.map((name) => `made.${name}`).join();
    await admin.unsafe(`INSERT INTO ${table} (${columns.join()}) SELECT ${values} FROM (SELECT * FROM ${from}) s, generate_series(1, ${count}) n,
      LATERAL jsonb_populate_record(NULL::${table}, to_jsonb(s) || ${own}) made ON CONFLICT DO NOTHING`);
  }
  // They are scored and in the queue, behind all others.
  await admin`UPDATE standing SET urgency = 'planned', urgency_order = 2, expected_loss = 1, expected_loss_avoided = 1, visit_cost = 1000000,
    rank = 1000 + substr(site_id, 2)::int WHERE site_id LIKE 'X%'`;
  await admin`DELETE FROM site_change`;
  await admin`INSERT INTO station (account_id, station_id, latitude, longitude)
    SELECT 1, 'X' || n, -30 - n * 0.01, 10 FROM generate_series(1, ${count}) n`;
  // What is gone is still met in indexes until it is swept.
  await admin`VACUUM ANALYZE`;
}

test("one new row of a log costs the same statements and rows read in an account of many times the size", async () => {
  const measured = async (at: string) =>
    countedWork(database(), (db) =>
      within(db, async () => {
        await brought(fault("S00002", at));
        expect(await scoreChanged(LOCAL_ACTOR, { now: NOW })).toBe(1);
      }),
    );
  await admin`ANALYZE`;
  await measured("2026-10-20T03:00:00Z");
  const few = await measured("2026-10-20T05:00:00Z");
  await grow(1500);
  await measured("2026-10-20T07:00:00Z");
  const many = await measured("2026-10-20T09:00:00Z");
  expect(many.statements).toBe(few.statements);
  // The planner may read a table of a few rows whole where it takes an index of a large one; what it may not is grow with it.
  const grown = Object.fromEntries(
    Object.entries(many.byTable).filter(([table, n]) => n > (few.byTable[table] ?? 0) + MORE),
  );
  expect(grown).toEqual({});
  const ranks = await admin<{ rank: number }[]>`SELECT rank FROM standing WHERE rank IS NOT NULL AND site_id LIKE 'S%'`;
  expect(new Set(ranks.map((row) => row.rank)).size).toBe(ranks.length);
}, 60_000);

test("a site planned by itself is planned as among all, and a newer row of a log asks for the score of its site, not of all whose window it ends", async () => {
  const plans = await readTransaction(LOCAL_ACTOR, async (tx) => {
    const whole = await scorePlan(tx, { now: NOW, parameterVersion: "x" });
    const alone = [];
    for (const { siteId } of whole?.plans.filter((plan) => plan.siteId.startsWith("S")) ?? [])
      alone.push((await scorePlan(tx, { now: NOW, parameterVersion: "x", siteIds: [siteId] }))?.plans[0]);
    return { whole: whole?.plans ?? [], alone };
  });
  expect(plans.alone).toHaveLength(SITES);
  for (const plan of plans.alone) expect(plan).toEqual(plans.whole.find((other) => other.siteId === plan?.siteId));

  // The newest row of the book, on the last day that it has rows of already.
  const [last] = await admin<{ at: Date }[]>`SELECT max(last_row) AS at FROM inverter_log WHERE site_id LIKE 'S%'`;
  const lastAt = last?.at.getTime() ?? 0;
  const later = new Date(Math.min(lastAt + 60_000, Math.floor(lastAt / 86_400_000) * 86_400_000 + 86_399_000));
  await brought(fault("S00003", later.toISOString()));
  const after = await readTransaction(LOCAL_ACTOR, (tx) => scorePlan(tx, { now: NOW, parameterVersion: "x" }));
  const hashes = new Map(plans.whole.map((plan) => [plan.siteId, plan.inputHash]));
  const moved = after?.plans.filter((plan) => plan.inputHash !== hashes.get(plan.siteId)).map((plan) => plan.siteId);
  expect(moved).toEqual(["S00003"]);
});
