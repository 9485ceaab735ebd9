import { EventEmitter } from "node:events";
import { expect, test, vi } from "vitest";
import { loadDemo, markEarlierDemo } from "../../lib/cli/demo.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readFirstRun } from "../../lib/reads/first-run.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { auditChain } from "../../lib/store/audit-chain.ts";
import { readTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { keysOfAccount, markDemo } from "../../lib/writes/demo-mark.ts";
import { makeDemoPeople } from "../../lib/writes/demo-people.ts";
import { createImport, runImport } from "../../lib/writes/import-drop.ts";
import { demoIsLoading, loadDemoFleet, removeDemo } from "../../lib/writes/load-demo.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

vi.mock("../../lib/jobs/wake-worker.ts", () => ({ wakeScoring: async () => {}, wakeWorker: async () => {} }));
/** The demo in small. */
const SMALL = { seed: "demo", sites: 6, days: 60, endDay: "2026-10-31" };
const began: string[][] = [];
// The page begins the command in a process of its own; here it runs in this one, on this file's database.
vi.mock("node:child_process", async (original) => ({
  ...(await original<typeof import("node:child_process")>()),
  spawn: (_node: string, args: string[]) => {
    const child = new EventEmitter();
    began.push(args.slice(-1));
    loadDemo(() => {}, SMALL).then(
      () => child.emit("exit", 0),
      (error) => child.emit("error", error),
    );
    return child;
  },
}));
useTestDatabase();

const importDrop = async (files: Record<string, string>) => {
  const importId = await createImport(LOCAL_ACTOR, { name: "drop" });
  await runImport(LOCAL_ACTOR, importId, { folder: dropFolder(files) });
};
const STATION = "station_id,latitude,longitude\nKX,40.7,-74\n";
const WEATHER = "station_id,observed_at,precipitation_mm\nKX,2026-01-05T10:00:00Z,1.2\n";
const FAULTS = "site_id,inverter_id,started_at,code\nS1,I1,2026-01-05T10:00:00Z,GROUND_FAULT\n";
const renamed = (text: string) => text.replaceAll("S1", "D1").replaceAll("S2", "D2").replaceAll("North", "Invented");

/** Rows of every table that has an account, but the audit log. */
const rowCounts = () =>
  readTransaction(LOCAL_ACTOR, async (tx) => {
    const tables = await tx<
      { name: string }[]
    >`SELECT c.relname AS name FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
      WHERE c.relkind IN ('r', 'p') AND NOT c.relispartition AND c.relnamespace = 'public'::regnamespace AND a.attname = 'account_id'
        AND c.relname <> 'audit_entry' AND has_table_privilege(c.oid, 'SELECT') ORDER BY 1`;
    const out: Record<string, number> = {};
    for (const { name } of tables) {
      const [row] = await tx<
        { n: number }[]
      >`SELECT count(*)::int AS n FROM ${tx(name)} WHERE account_id = current_account()`;
      if (row && row.n > 0) out[name] = row.n;
    }
    return out;
  });

const demoIsOver = () => vi.waitFor(() => expect(demoIsLoading()).toBe(false), { timeout: 60_000, interval: 50 });

test("the demo loaded from the page is seen while it comes, ranked, and removed without a trace", async () => {
  const empty = await rowCounts();
  await loadDemoFleet(LOCAL_ACTOR);
  expect(began).toEqual([["demo"]]);
  await expect(loadDemoFleet(LOCAL_ACTOR)).rejects.toThrow("is being loaded");
  await demoIsOver();
  const loaded = await readFirstRun(LOCAL_ACTOR);
  expect(loaded).toMatchObject({ sites: 6, next: null, demo: { sites: 6, loading: null, unmarked: false } });
  expect(loaded.steps.every((step) => step.done)).toBe(true);
  await expect(loadDemoFleet(LOCAL_ACTOR)).rejects.toThrow("There are sites already");

  expect(await removeDemo(LOCAL_ACTOR, { confirm: "remove" })).toMatchObject({ sites: 6 });
  // The set-up's link is made anew, and how much waits to be scored is one row of the account's: nothing does.
  const but = { person_link: undefined, scoring_state: undefined };
  expect({ ...(await rowCounts()), ...but }).toEqual({ ...empty, ...but });
  expect((await readFirstRun(LOCAL_ACTOR)).next).toBe("sites");
});

test("the steps say what is done and what is next, from the account's own records", async () => {
  const next = async () => (await readFirstRun(LOCAL_ACTOR)).next;
  expect(await next()).toBe("sites");
  await importDrop(BASE_DROP);
  expect(await next()).toBe("weather");
  await importDrop({ "stations.csv": STATION, "weather.csv": WEATHER });
  expect(await next()).toBe("faults");
  await importDrop({ "faults.csv": FAULTS });
  const view = await readFirstRun(LOCAL_ACTOR);
  expect(view.next).toBe("inspections");
  expect(view.steps.map((s) => [s.key, s.done])).toEqual([
    ["sites", true],
    ["weather", true],
    ["faults", true],
    ["inspections", false],
    ["ranking", false],
  ]);
  await expect(loadDemoFleet(LOCAL_ACTOR)).rejects.toThrow("There are sites already");
});

test("removing the demo takes what came with it and nothing else, and the audit chain holds", async () => {
  await expect(removeDemo(LOCAL_ACTOR, { confirm: "remove" })).rejects.toThrow("Nothing here is marked");
  const own = await rowCounts();
  const before = await keysOfAccount(LOCAL_ACTOR);
  await importDrop({
    ...Object.fromEntries(Object.entries(BASE_DROP).map(([file, text]) => [file, renamed(text)])),
    "faults.csv": renamed(FAULTS).replace("2026-01-05", "2026-03-05"),
    "stations.csv": STATION.replace("KX", "KY"),
    "weather.csv": WEATHER.replace("KX", "KY").replace("2026-01", "2026-03"),
    "crews.csv":
      "crew_id,name,base_latitude,base_longitude,shift_start,shift_end,time_zone\nC9,Invented,40,-74,08:00,16:00,America/New_York\n",
  });
  await markDemo(LOCAL_ACTOR, before);
  await makeDemoPeople(LOCAL_ACTOR);
  expect((await readFirstRun(LOCAL_ACTOR)).demo.sites).toBe(2);
  expect(await rowCounts()).not.toEqual(own);
  await expect(removeDemo(LOCAL_ACTOR, { confirm: "" })).rejects.toThrow('Send the word "remove"');

  const removed = await removeDemo(LOCAL_ACTOR, { confirm: "remove" });
  expect(removed.sites).toBe(2);
  // Its people were the only ones who could sign in: whoever goes on gets the link of the set-up.
  expect(removed.setUp).toContain("/join#");
  const left = await rowCounts();
  expect({ ...left, person_link: undefined }).toEqual({ ...own, person_link: undefined });
  const horizon = await readTransaction(LOCAL_ACTOR, async (tx) =>
    (await tx`SELECT fault_at, weather_at FROM data_horizon WHERE account_id = current_account()`).map((r) => ({
      ...r,
    })),
  );
  expect(horizon).toEqual([
    { fault_at: new Date("2026-01-05T10:00:00Z"), weather_at: new Date("2026-01-05T10:00:00Z") },
  ]);
  expect(await readTransaction(LOCAL_ACTOR, (tx) => auditChain(tx, LOCAL_ACTOR.accountId))).toMatchObject({
    firstBroken: null,
  });
});

test("a demo that carries no marks is said to, marked by its names, and removed; own sites stay", async () => {
  await expect(markEarlierDemo(SMALL)).rejects.toThrow("No demo was loaded here");
  await refreshScores(LOCAL_ACTOR, { now: Date.now() });
  const own = await rowCounts();
  await loadDemo(() => {}, SMALL);
  await writeTransaction(LOCAL_ACTOR, async (tx) => {
    await tx`DELETE FROM demo_mark`;
    return { result: null, note: null };
  });
  expect((await readFirstRun(LOCAL_ACTOR)).demo).toEqual({ sites: 0, loading: null, unmarked: true });
  await expect(removeDemo(LOCAL_ACTOR, { confirm: "remove" })).rejects.toThrow("demo --mark");
  expect(await markEarlierDemo(SMALL)).toBe(6);
  expect((await readFirstRun(LOCAL_ACTOR)).demo).toEqual({ sites: 6, loading: null, unmarked: false });
  expect(await removeDemo(LOCAL_ACTOR, { confirm: "remove" })).toMatchObject({ sites: 6 });
  // Its people and their link went; own sites were scored anew beside it, and a score is kept for good. What was learned from
  // all sites together is reckoned anew with the next scores.
  const but = { person_link: undefined, score: undefined, learned_proposal: undefined };
  expect({ ...(await rowCounts()), ...but }).toEqual({ ...own, ...but });
  expect((await readFirstRun(LOCAL_ACTOR)).sites).toBe(2);
});
