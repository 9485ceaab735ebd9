import { expect, test, vi } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readRankedSites } from "../../lib/reads/ranked-sites.ts";
import { RankedSitesQuery, SitesAction, SitesSetting } from "../../lib/reads/ranked-sites-query.ts";
import { readSiteBrief } from "../../lib/reads/site-brief.ts";
import { sitesCsv } from "../../lib/reads/sites-csv.ts";
import { readSitesMap } from "../../lib/reads/sites-map.ts";
import { readSitesSetting } from "../../lib/reads/sites-setting.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { systemTransaction } from "../../lib/store/transaction.ts";
import { createImport, runImport } from "../../lib/writes/import-drop.ts";
import { actOnSites } from "../../lib/writes/sites-action.ts";
import { keepSitesSetting } from "../../lib/writes/sites-setting.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

vi.mock("../../lib/jobs/wake-worker.ts", () => ({ wakeScoring: async () => {}, wakeWorker: async () => {} }));
useTestDatabase();

const NOW = Date.UTC(2026, 5, 1);
const list = async (more: object = {}) =>
  (await readRankedSites(LOCAL_ACTOR, RankedSitesQuery.parse(more))).rows.map((row) => row.siteId).sort();
const act = (more: object) => actOnSites(LOCAL_ACTOR, SitesAction.parse({ siteIds: ["S1", "S2"], ...more }));

test("the list: held sites leave it, emergencies cannot be held, a part of the map narrows it, CSV and brief tell the same", async () => {
  const importId = await createImport(LOCAL_ACTOR, { name: "base" });
  const crews =
    "crew_id,name,base_latitude,base_longitude,shift_start,shift_end,time_zone\nC1,Crew,40,-74,08:00,16:00,America/New_York\n";
  const faults = "site_id,inverter_id,started_at,code\nS1,I1,2026-01-05T15:00:00Z,GROUND_FAULT\n";
  await runImport(LOCAL_ACTOR, importId, {
    folder: dropFolder({ ...BASE_DROP, "crews.csv": crews, "faults.csv": faults }),
  });
  await refreshScores(LOCAL_ACTOR, { now: NOW });
  expect(await list()).toEqual(["S1", "S2"]);

  await expect(act({ action: "hold", until: "2020-01-01", reason: "roof works" })).rejects.toThrow("is over");
  expect(SitesAction.safeParse({ action: "hold", siteIds: ["S1"], until: "2099-01-01" }).success).toBe(false);
  await systemTransaction(
    LOCAL_ACTOR,
    (tx) => tx`UPDATE standing SET urgency = 'make_safe', urgency_order = 0 WHERE site_id = 'S2'`,
  );
  expect(await act({ action: "hold", until: "2099-01-01", reason: "roof works" })).toEqual({
    done: 1,
    skipped: [
      { siteId: "S2", why: "make safe: an emergency cannot be held, because people may touch live metal meanwhile" },
    ],
  });
  expect(await list()).toEqual(["S2"]);
  expect(await list({ held: "only" })).toEqual(["S1"]);
  expect(await list({ held: "all" })).toEqual(["S1", "S2"]);
  // A hold ends with the day of its site: where it is still that day it stands, where it is at least the next it does not.
  for (const [zone, heldThere] of [
    ["Pacific/Pago_Pago", ["S1"]],
    ["Pacific/Kiritimati", []],
  ] as const) {
    await systemTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`UPDATE site_hold SET held_until = (now() AT TIME ZONE 'Pacific/Pago_Pago')::date WHERE site_id = 'S1'`;
      await tx`UPDATE site SET time_zone = ${zone} WHERE site_id = 'S1'`;
    });
    expect(await list({ held: "only" }), zone).toEqual(heldThere);
  }
  expect((await act({ action: "release" })).done).toBe(1);

  // Sites lie at 40.7 N 74.0 W and 40.8 N 74.1 W.
  expect(await list({ box: "-74.05,40.65,-73.9,40.75" })).toEqual(["S1"]);
  const map = await readSitesMap(LOCAL_ACTOR, RankedSitesQuery.parse({}));
  expect(map?.marks.at(-1)).toMatchObject({ siteId: "S2", urgency: "make_safe" });
  const x = (id: string) => map?.marks.find((mark) => "siteId" in mark && mark.siteId === id)?.x ?? Number.NaN;
  expect(x("S2")).toBeLessThan(x("S1"));

  const query = RankedSitesQuery.parse({ sort: "name" });
  const csv = await (await sitesCsv(LOCAL_ACTOR, query, ["urgency", "bonding"])).text();
  const [head, first] = csv.split("\n");
  expect(head).toBe(
    "site_id,name,rank,urgency,held_until,hold_reason,bonding_defect_p,bonding_defect_low,bonding_defect_high",
  );
  expect(first).toMatch(/^S1,Millgate,/);
  const brief = await readSiteBrief(LOCAL_ACTOR, "S1");
  expect(brief?.answer).toMatch(/\d+ %/);
  expect(brief?.strongestFor?.decibans ?? 1).toBeGreaterThan(0);
  expect(await readSiteBrief(LOCAL_ACTOR, "no such site")).toBeNull();

  await expect(act({ action: "crew", crewId: "C9" })).rejects.toThrow("no crew C9");
  expect((await act({ action: "queue" })).done).toBe(2);
  expect((await act({ action: "queue" })).skipped.map((s) => s.why)).toEqual([
    expect.stringContaining("on record already"),
    expect.stringContaining("on record already"),
  ]);
  expect((await act({ action: "crew", crewId: "C1" })).done).toBe(2);
});

test("columns and filters are kept by person", async () => {
  const kept = SitesSetting.parse({
    columns: ["urgency", "portfolio"],
    filters: [{ name: "Wet", search: "?cause=open_section_bond" }],
  });
  await keepSitesSetting(LOCAL_ACTOR, kept);
  expect(await readSitesSetting(LOCAL_ACTOR)).toEqual(kept);
  expect(await readSitesSetting({ ...LOCAL_ACTOR, person: "somebody else" })).toEqual(SitesSetting.parse({}));
});

test("two people who queue the same sites at once make one visit for each", async () => {
  await systemTransaction(LOCAL_ACTOR, (tx) => tx`DELETE FROM visit`);
  const both = await Promise.all([act({ action: "queue" }), act({ action: "queue" })]);
  expect(both.map((one) => one.done).sort()).toEqual([0, 2]);
  expect(both.find((one) => one.done === 0)?.skipped.map((one) => one.why)).toEqual([
    expect.stringContaining("on record already"),
    expect.stringContaining("on record already"),
  ]);
});
