import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type postgres from "postgres";
import { afterAll, beforeAll, expect, test } from "vitest";
import { installQueue } from "../../lib/jobs/boss.ts";
import { makeSafeRound } from "../../lib/jobs/make-safe-round.ts";
import { refreshScores, scoreChanged } from "../../lib/jobs/refresh-scores.ts";
import { startWorker } from "../../lib/jobs/worker.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { auditChain } from "../../lib/store/audit-chain.ts";
import { makeSafes } from "../../lib/store/make-safe.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { saveDuty } from "../../lib/writes/alerts.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { adminConnection } from "../support/admin-connection.ts";
import { countedWork } from "../support/counted-work.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { storedColumns } from "../support/stored-columns.ts";
import { useTestDatabase } from "../support/test-database.ts";

// Many emergencies at once, as after a new score of a whole fleet.
const database = useTestDatabase();
const NOW = Date.UTC(2026, 10, 20);
const MINUTE = 60_000;
const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-round-"));
let admin: postgres.Sql;

beforeAll(async () => {
  process.env.RAINTRIP_DATA = data;
  admin = adminConnection(database());
  await writeDemoDrop(path.join(data, "drop"), { seed: "round", sites: 3, days: 30, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [path.join(data, "drop")]);
  await refreshScores(LOCAL_ACTOR, { now: NOW });
  await saveDuty(LOCAL_ACTOR, { people: [{ name: "D. First", phone: "1" }] });
});
afterAll(async () => {
  await admin.end();
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

/** Sites whose standing makes them safe for one finding, besides those that are there; copies of a scored one. */
async function hazards(prefix: string, count: number): Promise<void> {
  const finding = (since: string) =>
    `jsonb_build_object('makeSafe', jsonb_build_array(jsonb_build_object('trigger', 'hazard_report', 'reason', 'Somebody felt a shock at ' || n,
      'since', ${since}, 'sectionId', NULL, 'inverterId', NULL)))`;
  const copy = async (table: string, own: string) => {
    const columns = await storedColumns(admin, table);
    const values = columns.map((name) => `made.${name}`).join();
    await admin.unsafe(`INSERT INTO ${table} (${columns.join()}) SELECT ${values} FROM ${table} s, generate_series(1, ${count}) n,
      LATERAL jsonb_populate_record(s, jsonb_build_object('site_id', '${prefix}' || lpad(n::text, 4, '0')) || ${own}) made
      WHERE s.site_id = 'S001'`);
  };
  await copy("site", "'{}'");
  await copy(
    "standing",
    "jsonb_build_object('urgency', 'make_safe', 'urgency_order', 0, 'rank', NULL, 'input_hash', 'first')",
  );
  await copy("site_detail", `jsonb_build_object('detail', s.detail || ${finding("1000 * n")})`);
}

const round = (options: object = {}, now = Date.now()) =>
  makeSafeRound(database(), LOCAL_ACTOR.accountId, now, options);
const ofSites = (prefix: string) =>
  readTransaction(LOCAL_ACTOR, async (tx) => {
    const runs = (await makeSafes(tx, "open")).filter((one) => one.siteId.startsWith(prefix));
    const ids = runs.map((one) => one.makeSafeId);
    return {
      runs: runs
        .map(({ openedAt, events, ...one }) => ({ ...one, events: events.map(({ at, ...event }) => event) }))
        .sort((a, b) => (a.siteId < b.siteId ? -1 : 1)),
      alerts: [
        ...(await tx`SELECT kind, subject, detail, acknowledged_by FROM outbox_alert WHERE detail->>'makeSafeId' = ANY(${ids}) ORDER BY subject`),
      ],
      log: [
        ...(await tx`SELECT action, subject, detail, person, role FROM audit_entry WHERE subject = ANY(${ids}) ORDER BY subject, seq`),
      ],
    };
  });
/** The same with the names of one set of sites for those of another. */
const under = (prefix: string, from: string, what: unknown) =>
  JSON.parse(JSON.stringify(what).replaceAll(new RegExp(`\\b${from}(?=\\d{4})`, "g"), prefix));

test("many emergencies at once leave the same rows, alerts and entries in the log as one by one, and so do their escalations", async () => {
  await hazards("A", 7);
  await round({ batch: 1 });
  await hazards("B", 7);
  await round();
  const [one, many] = [await ofSites("A"), await ofSites("B")];
  expect(one.runs).toHaveLength(7);
  expect(one.runs[2]).toMatchObject({
    siteId: "A0003",
    openedBy: "queue",
    covers: ["hazard_report/3000//"],
    events: [{ kind: "alert" }],
  });
  expect(one.alerts).toHaveLength(7);
  expect(one.log.map((entry) => entry.action)).toEqual(one.runs.map(() => "make_safe.open"));
  expect(many).toEqual(under("B", "A", one));

  const late = Date.now() + 16 * MINUTE;
  await admin`UPDATE make_safe SET closed_at = now() WHERE site_id LIKE 'S%' AND closed_at IS NULL`;
  await round({ batch: 1 }, late);
  const escalated = await ofSites("A");
  expect(escalated.alerts.filter((alert) => alert.kind === "make_safe_escalated")).toHaveLength(7);
  expect(escalated.log.filter((entry) => entry.action === "make_safe.escalate")).toHaveLength(7);
  expect(await ofSites("B")).toEqual(under("B", "A", escalated));
  await round({}, late);
  expect(await ofSites("B")).toEqual(under("B", "A", escalated));
  expect((await readTransaction(LOCAL_ACTOR, (tx) => auditChain(tx, LOCAL_ACTOR.accountId))).firstBroken).toBe(null);
});

test("its statements do not grow with the sites, and a round that finds nothing new reads no finding again", async () => {
  await hazards("C", 5);
  const few = await countedWork(database(), (db) => makeSafeRound(db, LOCAL_ACTOR.accountId, Date.now()));
  await hazards("D", 80);
  const many = await countedWork(database(), (db) => makeSafeRound(db, LOCAL_ACTOR.accountId, Date.now()));
  expect((await ofSites("D")).runs).toHaveLength(80);
  expect(many.statements).toBe(few.statements);
  const idle = await countedWork(database(), (db) => makeSafeRound(db, LOCAL_ACTOR.accountId, Date.now()));
  expect(idle.statements).toBeLessThan(few.statements);
});

test("a finding that went away after its emergency was closed is forgotten, and opens a new one when it comes back", async () => {
  await hazards("E", 1);
  await round();
  const closed = () =>
    admin`UPDATE make_safe SET closed_at = clock_timestamp() WHERE site_id = 'E0001' AND closed_at IS NULL`;
  // Scored anew without the finding while the emergency is open; then it is closed, with no new score.
  await admin`UPDATE standing SET urgency = 'watch', urgency_order = 3, input_hash = 'second' WHERE site_id = 'E0001'`;
  await round();
  await closed();
  await round();
  await admin`UPDATE standing SET urgency = 'make_safe', urgency_order = 0, input_hash = 'third' WHERE site_id = 'E0001'`;
  await round();
  expect((await ofSites("E")).runs).toMatchObject([
    { makeSafeId: "make-safe-2-E0001", covers: ["hazard_report/1000//"] },
  ]);
  // Closed while it is still found: it stays answered for.
  await closed();
  await round();
  await admin`UPDATE standing SET input_hash = 'fourth' WHERE site_id = 'E0001'`;
  await round();
  expect((await ofSites("E")).runs).toEqual([]);
});

test("a fault that arrives while many emergencies are opened is scored before the rest of them", async () => {
  await hazards("F", 12);
  const standing = async () =>
    (
      await admin<
        { as_is: boolean }[]
      >`SELECT st.site_revision = s.revision AS as_is FROM standing st JOIN site s USING (account_id, site_id)
      WHERE s.site_id = 'S002'`
    )[0]?.as_is;
  const seen: { opened: number; scored: boolean | undefined }[] = [];
  await round({
    batch: 3,
    first: async () => {
      const opened = (await ofSites("F")).runs.length;
      if (opened === 3) {
        const row =
          "site_id,inverter_id,started_at,ended_at,code\nS002,INV1,2026-10-20T06:00:00Z,2026-10-20T06:10:00Z,1\n";
        await importPaths(LOCAL_ACTOR, [dropFolder({ "faults.csv": row })]);
        expect(await standing()).toBe(false);
      }
      await scoreChanged(LOCAL_ACTOR, { now: NOW });
      seen.push({ opened, scored: await standing() });
    },
  });
  expect(seen.find((look) => look.opened === 3)?.scored).toBe(true);
  expect((await ofSites("F")).runs).toHaveLength(12);
});

test("a round that was cut off is gone on with by another worker, and two at once open each emergency once", async () => {
  await hazards("G", 9);
  let batches = 0;
  const cut = round({ batch: 4, first: async () => expect(batches++).toBeLessThan(1) });
  await expect(cut).rejects.toThrow();
  expect((await ofSites("G")).runs).toHaveLength(4);
  await Promise.all([round({ batch: 2 }), round({ batch: 4 }), round()]);
  const end = await ofSites("G");
  expect(end.runs).toHaveLength(9);
  expect(end.alerts).toHaveLength(9);
  expect(end.log).toHaveLength(9);
});

test("what happens in it is a matter of the account alone", async () => {
  const before = await systemTransaction({ ...LOCAL_ACTOR, accountId: 2 }, (tx) => tx`SELECT FROM make_safe_look`);
  expect(before).toHaveLength(0);
});

test("a worker opens emergencies while the reports of the month are still being made", async () => {
  await installQueue(database().address);
  await hazards("LATE", 3);
  const opened = () => admin<{ site_id: string }[]>`SELECT site_id FROM make_safe WHERE site_id LIKE 'LATE%'`;
  const waitsFor = () => admin`SELECT 1 FROM pg_locks WHERE relation = 'monthly_report'::regclass AND NOT granted`;
  const holder = adminConnection(database());
  let letGo = () => {};
  const held = new Promise<void>((resolve) => {
    letGo = resolve;
  });
  let holding: Promise<unknown> = Promise.resolve();
  await new Promise<void>((locked) => {
    holding = holder.begin(async (tx) => {
      await tx`LOCK TABLE monthly_report IN ACCESS EXCLUSIVE MODE`;
      locked();
      await held;
    });
  });
  const stop = await startWorker(database());
  await expect.poll(async () => (await waitsFor()).length, { timeout: 30_000 }).toBeGreaterThan(0);
  await expect.poll(async () => (await opened()).length, { timeout: 30_000 }).toBe(3);
  expect((await waitsFor()).length).toBeGreaterThan(0);
  letGo();
  await holding;
  await stop();
  await holder.end();
});
