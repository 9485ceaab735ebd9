import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type postgres from "postgres";
import { afterAll, beforeAll, expect, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readQueue } from "../../lib/reads/queue.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { adminConnection } from "../support/admin-connection.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

// The sites of one account, shared out over processes of their own, as of workers on several hosts.
const database = useTestDatabase();
const NOW = Date.UTC(2026, 10, 20);
const SITES = 64;
const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-shared-"));
const root = path.resolve(import.meta.dirname, "../..");
const children: ChildProcess[] = [];
let admin: postgres.Sql;

beforeAll(async () => {
  process.env.RAINTRIP_DATA = data;
  admin = adminConnection(database());
  const drop = path.join(data, "drop");
  await writeDemoDrop(drop, { seed: "shared", sites: SITES, days: 90, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [drop]);
});
afterAll(async () => {
  for (const child of children) child.kill("SIGKILL");
  await admin.end();
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

/** A process that has planned its round and waits to be told to go on. */
async function planned() {
  const child = spawn(
    process.execPath,
    ["--conditions=react-server", "--import", "tsx", "tests/jobs/scoring-process.ts", String(NOW)],
    {
      cwd: root,
      env: { ...process.env, RAINTRIP_ADDRESS: JSON.stringify(database().address), RAINTRIP_POOL_SIZE: "3" },
      stdio: ["pipe", "pipe", "inherit"],
    },
  );
  children.push(child);
  let said = "";
  child.stdout?.on("data", (chunk) => {
    said += chunk;
  });
  const ended = new Promise<void>((resolve) => child.once("exit", () => resolve()));
  await expect.poll(() => said, { timeout: 60_000, interval: 20 }).toContain("planned");
  return { child, ended, said: () => said, go: () => child.stdin?.write("go\n") };
}

const scoredOf = (said: string) => Number(/scored (\d+)/.exec(said)?.[1]);
const all = () =>
  readTransaction(LOCAL_ACTOR, async (tx) => ({
    standings: await tx<{ site_id: string; rank: number | null; ranked: boolean; urgency: string }[]>`
      SELECT site_id, rank, ranked, urgency FROM standing ORDER BY site_id`,
    batches: await tx<{ sites: number }[]>`
      SELECT (detail->>'sites')::int AS sites FROM audit_entry WHERE action = 'score.compute'`,
    passes: await tx`SELECT 1 FROM audit_entry WHERE action = 'score.rank'`,
    scores: await tx`SELECT site_id FROM score`,
  }));

const sum = (numbers: number[]) => numbers.reduce((total, n) => total + n, 0);
const ranksOf = (rows: { rank: number | null; urgency: string }[]) =>
  rows.flatMap((row) => row.rank ?? []).sort((a, b) => a - b);

test("processes share an account's sites: each is scored once, also those in the hands of one that is killed, and one passes over the fleet", async () => {
  const [lost, east, west] = await Promise.all([planned(), planned(), planned()]);
  // The first is killed with a batch in its hands: it holds sites, and has stored none.
  const holds = async () =>
    (
      await admin<{ n: number }[]>`SELECT count(*)::int AS n FROM pg_locks
        WHERE locktype = 'advisory' AND mode = 'ExclusiveLock' AND granted AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`
    )[0]?.n ?? 0;
  lost.go();
  await expect.poll(holds, { timeout: 60_000, interval: 1 }).toBeGreaterThan(0);
  lost.child.kill("SIGSTOP");
  const inHand = await holds();
  const before = sum((await all()).batches.map((b) => b.sites));
  // The others leave these alone and score the rest; they take them as soon as their holder is gone.
  east.go();
  west.go();
  const stored = async () => (await all()).standings.length;
  await expect.poll(stored, { timeout: 120_000, interval: 50 }).toBe(SITES - inHand);
  expect((await all()).passes).toHaveLength(0);
  lost.child.kill("SIGKILL");
  await Promise.all([east.ended, west.ended, lost.ended]);

  const end = await all();
  const [first, second] = [scoredOf(east.said()), scoredOf(west.said())];
  expect(first).toBeGreaterThan(0);
  expect(second).toBeGreaterThan(0);
  expect(before + first + second).toBe(SITES);
  expect(sum(end.batches.map((b) => b.sites))).toBe(SITES);
  expect(end.scores).toHaveLength(SITES);
  expect(end.standings).toHaveLength(SITES);
  expect(end.standings.every((row) => row.ranked)).toBe(true);
  expect(end.passes).toHaveLength(1);
  const visits = end.standings.filter((row) => row.urgency !== "watch");
  expect(ranksOf(end.standings)).toEqual(visits.map((_, i) => i + 1));
  expect(await refreshScores(LOCAL_ACTOR, { now: NOW })).toEqual({ scored: 0 });
});

test("a site whose records change while a long round runs is scored next, and is in its place before the fleet pass", async () => {
  const before = await readQueue(LOCAL_ACTOR);
  const standings = () =>
    readTransaction(LOCAL_ACTOR, async (tx) =>
      Object.fromEntries(
        (
          await tx<{ site_id: string; hash: string; rank: number | null; ranked: boolean; urgency: string }[]>`
            SELECT site_id, input_hash AS hash, rank, ranked, urgency FROM standing`
        ).map((row) => [row.site_id, row]),
      ),
    );
  const last = before.visits.at(-1)?.site_id as string;
  // The whole fleet waits for new scores when a record comes that puts it first: a person was shocked there.
  await systemTransaction(LOCAL_ACTOR, (tx) => tx`UPDATE standing SET input_hash = 'old'`);
  const seen: Promise<Awaited<ReturnType<typeof standings>>>[] = [];
  await refreshScores(LOCAL_ACTOR, {
    now: NOW,
    lookEveryMs: 0,
    callOthers: async () => {
      const record = `site_id,inspected_at,check,outcome,note\n${last},2026-10-20,egc_size,fail,Technician was shocked at the rail\n`;
      await importPaths(LOCAL_ACTOR, [dropFolder({ "inspections.csv": record })]);
    },
    onProgress: () => seen.push(standings()),
  });
  const pictures = await Promise.all(seen);
  const first = pictures.findIndex((p) => p[last]?.hash !== "old" && p[last]?.urgency === "make_safe");
  const then = pictures[first];
  expect(first).toBeGreaterThanOrEqual(0);
  // Others still waited, and the fleet had not been passed over.
  expect(Object.values(then ?? {}).some((row) => row.hash === "old")).toBe(true);
  expect(then?.[last]?.ranked).toBe(false);
  expect(then?.[last]?.rank).toBeLessThan(before.visits.length);
  const ranks = ranksOf(Object.values(then ?? {}));
  expect(new Set(ranks).size).toBe(ranks.length);
  const after = await readQueue(LOCAL_ACTOR);
  expect(after.visits.find((v) => v.site_id === last)).toMatchObject({ urgency: "make_safe" });
});
