import { expect, test, vi } from "vitest";
import { readFirstRun } from "../../lib/reads/first-run.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { auditChain } from "../../lib/store/audit-chain.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { keysOfAccount, markDemo } from "../../lib/writes/demo-mark.ts";
import { makeDemoPeople } from "../../lib/writes/demo-people.ts";
import { createImport, runImport } from "../../lib/writes/import-drop.ts";
import { loadDemoFleet, removeDemo } from "../../lib/writes/load-demo.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

vi.mock("../../lib/jobs/wake-worker.ts", () => ({ wakeScoring: async () => {}, wakeWorker: async () => {} }));
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
