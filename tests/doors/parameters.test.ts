import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { ACCOUNT_PARAMETERS } from "../../lib/coverage/account-parameters.ts";
import { refreshScores, staleCount } from "../../lib/jobs/refresh-scores.ts";
import { readCalibration } from "../../lib/reads/calibration.ts";
import { readFixes, readOpenFixes } from "../../lib/reads/fixes.ts";
import { readParameters, readPreview } from "../../lib/reads/parameters.ts";
import { readScore } from "../../lib/reads/score.ts";
import { readNextTests, readWhatIf } from "../../lib/reads/what-if.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { sayDetector } from "../../lib/writes/detector-word.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { acceptLearned, rollBackParameters, saveParameters } from "../../lib/writes/save-parameters.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

// The queue only wakes a worker sooner; there is none in a test.
vi.mock("../../lib/jobs/wake-worker.ts", () => ({ wakeScoring: async () => {}, wakeWorker: async () => {} }));

useTestDatabase();
const NOW = Date.UTC(2026, 10, 20);
const KEY = "prior.open_section_bond";
let data = "";

const refresh = () => refreshScores(LOCAL_ACTOR, { now: NOW });
const stale = () => readTransaction(LOCAL_ACTOR, (tx) => staleCount(tx, NOW));
const audits = () =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ action: string; subject: string; detail: { changes?: unknown[] } }[]>`
      SELECT action, subject, detail FROM audit_entry WHERE action IN ('parameters.save', 'detector.word') ORDER BY seq`,
  );
const edit = (value: number, parent: number) =>
  saveParameters(LOCAL_ACTOR, { parent, reason: "a test of the door", changes: [{ key: KEY, value, spread: 0.3 }] });

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-parameters-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "parameters", sites: 16, days: 400, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await refresh();
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

describe("parameter versions", () => {
  test("before any version the program's defaults are in force, every row with unit, spread and provenance", async () => {
    const view = await readParameters(LOCAL_ACTOR);
    expect(view).toMatchObject({ version: 0, name: ACCOUNT_PARAMETERS.version, history: [], mayEdit: true, sites: 16 });
    expect(view.rows).toHaveLength(ACCOUNT_PARAMETERS.rows.length);
    for (const row of view.rows) expect(row.provenance.source.length).toBeGreaterThan(5);
  });

  test("a preview says what would move, stores nothing, and saving then moves scores to just there", async () => {
    const before = await readScore(LOCAL_ACTOR, {});
    const change = { kind: "edited" as const, changes: [{ key: KEY, value: 0.4, spread: 0.3 }] };
    const moved = [];
    let from = 0;
    for (;;) {
      const step = await readPreview(LOCAL_ACTOR, { change, from });
      moved.push(...step.moved);
      from = step.done;
      if (step.done >= step.total) break;
    }
    expect(from).toBe(16);
    expect(moved.length).toBeGreaterThan(3);
    expect(await readScore(LOCAL_ACTOR, {})).toEqual(before);
    expect(await stale()).toBe(0);

    expect(await edit(0.4, 0)).toEqual({ version: 1 });
    expect(await stale()).toBe(16);
    await refresh();
    const after = await readScore(LOCAL_ACTOR, {});
    for (const site of moved) {
      expect(before.sites.find((s) => s.site_id === site.siteId)?.bonding_defect.p).toBeCloseTo(
        site.before.bonding.p,
        12,
      );
      expect(after.sites.find((s) => s.site_id === site.siteId)?.bonding_defect).toEqual(site.after.bonding);
    }
    const [entry] = await audits();
    expect(entry).toMatchObject({ action: "parameters.save", subject: "parameters 1" });
    expect(entry?.detail.changes).toEqual([
      { key: KEY, unit: "probability", from: { value: 0.06, spread: 0.35 }, to: { value: 0.4, spread: 0.3 } },
    ]);
  });

  test("a roll back is a further version with the earlier table, and scores return to what they were", async () => {
    const edited = await readScore(LOCAL_ACTOR, {});
    expect(await rollBackParameters(LOCAL_ACTOR, { parent: 1, reason: "too high", to: 0 })).toEqual({ version: 2 });
    await refresh();
    const view = await readParameters(LOCAL_ACTOR);
    expect(view.history.map((h) => [h.version, h.kind, h.parent, h.restores])).toEqual([
      [2, "rolled_back", 1, 0],
      [1, "edited", 0, null],
    ]);
    expect(view.rows.find((r) => r.key === KEY)?.value).toBe(0.06);
    await rollBackParameters(LOCAL_ACTOR, { parent: 2, reason: "and forth", to: 1 });
    await refresh();
    expect(await readScore(LOCAL_ACTOR, {})).toEqual(edited);
    await rollBackParameters(LOCAL_ACTOR, { parent: 3, reason: "and back", to: 0 });
    await refresh();
  });

  test("what cannot be saved is refused with a reason: stale parent, unknown row, impossible value, no change, no right", async () => {
    const save = (changes: { key: string; value: number; spread: number }[], actor = LOCAL_ACTOR) =>
      saveParameters(actor, { parent: 4, reason: "a test", changes });
    await expect(edit(0.5, 1)).rejects.toThrow(/Version 4 was saved meanwhile/);
    await expect(save([{ key: "nope", value: 1, spread: 0 }])).rejects.toThrow(/no parameter "nope"/);
    await expect(save([{ key: KEY, value: 1, spread: 0.3 }])).rejects.toThrow(/between 0 and 1/);
    await expect(save([{ key: KEY, value: 0.06, spread: 0.35 }])).rejects.toThrow(/Nothing would change/);
    await expect(save([{ key: KEY, value: 0.2, spread: 0.3 }], { ...LOCAL_ACTOR, role: "technician" })).rejects.toThrow(
      /administrator/,
    );
    expect((await readParameters(LOCAL_ACTOR)).version).toBe(4);
    expect(await audits()).toHaveLength(4);
  });

  test("a stored version cannot be changed or removed by the application, and no other account sees it", async () => {
    const write = (sql: string) => systemTransaction(LOCAL_ACTOR, (tx) => tx.unsafe(sql));
    await expect(write("UPDATE parameter_version SET reason = 'x'")).rejects.toThrow(/permission denied/);
    await expect(write("DELETE FROM parameter_version")).rejects.toThrow(/permission denied/);
    const other = { accountId: 2, person: "x", role: "administrator" };
    const seen = await readTransaction(other, (tx) => tx`SELECT * FROM parameter_version`);
    expect(seen).toHaveLength(0);
  });
});

describe("learning and calibration", () => {
  test("visits before the first score teach nothing and are counted", async () => {
    const { learning } = await readParameters(LOCAL_ACTOR);
    expect(learning).toMatchObject({ outcomes: 0, changes: [] });
    expect(learning.withoutScore).toBeGreaterThan(0);
    const view = await readCalibration(LOCAL_ACTOR);
    expect(view).toMatchObject({ outcomes: 0, judged: false, alarm: false, scores: null });
    expect(view.says).toMatch(/20 more visits that find a defect and 20 more/);
  });

  test("visits after a score are set against that score, move base rates only when accepted, and never twice", async () => {
    const stated = await readScore(LOCAL_ACTOR, {});
    const ids = stated.sites.slice(0, 6).map((s) => s.site_id);
    const rows = ids.map((id) => `${id},2026-11-05,egc_continuous,fail,Inspector A`).join("\n");
    await importPaths(LOCAL_ACTOR, [
      dropFolder({ "inspections.csv": `site_id,inspected_at,check,outcome,inspector\n${rows}\n` }),
    ]);
    const { learning } = await readParameters(LOCAL_ACTOR);
    expect(learning.outcomes).toBe(6);
    const moved = (key: string) => learning.changes.find((c) => c.key === key);
    expect(moved("prior.egc_broken")).toMatchObject({ restsOn: "found at 6 of 6 visits that looked for it" });
    expect(moved("prior.egc_broken")?.to.value).toBeGreaterThan(moved("prior.egc_broken")?.from.value ?? 1);
    expect(moved("inspector.Inspector A.falsePositive")).toMatchObject({ restsOn: "6 checks by Inspector A" });
    expect(moved("inspector.Inspector A.falsePositive")?.to.value).toBeGreaterThan(0);
    const kinds = new Set(learning.changes.map((c) => c.key.split(".")[0]));
    expect([...kinds].filter((kind) => !["prior", "rate", "check", "inspector"].includes(kind ?? ""))).toEqual([]);
    const p = (id: string) => stated.sites.find((s) => s.site_id === id)?.bonding_defect.p ?? 0;
    const view = await readCalibration(LOCAL_ACTOR);
    const brier = ids.reduce((sum, id) => sum + (1 - p(id)) ** 2, 0) / ids.length;
    expect(view.scores?.find((s) => s.name === "Raintrip")?.brier).toBeCloseTo(brier, 10);
    expect(view.inspectors).toMatchObject([{ name: "Inspector A", outcomes: 6, found: 6 }]);

    const { version } = await readParameters(LOCAL_ACTOR);
    await expect(acceptLearned(LOCAL_ACTOR, { parent: version, reason: "ok so", outcomes: 5 })).rejects.toThrow(
      /6 confirmed/,
    );
    await acceptLearned(LOCAL_ACTOR, { parent: version, reason: "ok so", outcomes: 6 });
    await refresh();
    const after = await readParameters(LOCAL_ACTOR);
    expect(after.history[0]).toMatchObject({ kind: "learned", version: version + 1 });
    expect(after.learning).toMatchObject({ outcomes: 6, changes: [] });
    // A score that already knows the visit is no forecast of it.
    expect((await readCalibration(LOCAL_ACTOR)).scores?.[0]?.brier).toBeCloseTo(brier, 10);
  });
});

describe("readWhatIf", () => {
  test("a finding moves the belief as storing it would, and nothing is stored", async () => {
    const [site] = (await readScore(LOCAL_ACTOR, {})).sites.slice(-1);
    const id = site?.site_id as string;
    const finding = {
      check: "egc_size",
      outcome: "fail",
      sectionId: null,
      inverterId: null,
      value: null,
      unit: null,
    } as const;
    const view = await readWhatIf(LOCAL_ACTOR, id, { findings: [finding] });
    expect(view?.before.bonding).toEqual(site?.bonding_defect);
    expect(view?.after.causes.egc_undersized).toBeGreaterThan(view?.before.causes.egc_undersized ?? 1);
    expect(view?.after.bonding.low).toBeLessThanOrEqual(view?.after.bonding.p ?? 0);
    expect(await stale()).toBe(0);
    expect((await readScore(LOCAL_ACTOR, { site: id })).sites[0]).toEqual(site);
    expect(await readWhatIf(LOCAL_ACTOR, "NOPE", { findings: [finding] })).toBeNull();
  });

  test("next tests come best first, each with where both outcomes would lead", async () => {
    const view = await readNextTests(LOCAL_ACTOR, (await readScore(LOCAL_ACTOR, {})).sites[0]?.site_id as string);
    expect(view?.tests.length).toBeGreaterThan(0);
    const bits = view?.tests.map((t) => t.bits) ?? [];
    expect(bits).toEqual([...bits].sort((a, b) => b - a));
    for (const t of view?.tests ?? []) expect(t.ifFails.p).toBeGreaterThanOrEqual(t.ifPasses.p);
    expect(await readNextTests(LOCAL_ACTOR, "NOPE")).toBeNull();
  });
});

describe("fix watches", () => {
  test("a repair is watched with an interval and counts; a person's word on the detector is stored and audited", async () => {
    const id = (await readScore(LOCAL_ACTOR, {})).sites[0]?.site_id as string;
    await importPaths(LOCAL_ACTOR, [
      dropFolder({
        "repairs.csv": `site_id,repaired_at,cause,confirmed,tested_after\n${id},2026-06-01,connector_ingress,yes,both\n`,
      }),
    ]);
    await refresh();
    const fix = (await readFixes(LOCAL_ACTOR, id)).find(
      (f) => f.cause === "connector_ingress" && f.day === "2026-06-01",
    );
    expect(fix).toBeDefined();
    expect(fix?.stillThere.low).toBeLessThanOrEqual(fix?.stillThere.p ?? -1);
    expect(fix?.stillThere.high).toBeGreaterThanOrEqual(fix?.stillThere.p ?? 2);
    expect(fix?.state).not.toBe("held");
    expect((await readOpenFixes(LOCAL_ACTOR)).fixes.some((f) => f.siteId === id)).toBe(true);

    const word = { repairedAt: fix?.repairedAt ?? 0, cause: "connector_ingress" as const, unchanged: true };
    await sayDetector(LOCAL_ACTOR, id, word);
    expect(await stale()).toBe(1);
    await refresh();
    const again = (await readFixes(LOCAL_ACTOR, id)).find((f) => f.repairedAt === word.repairedAt);
    expect(again?.detectorUnchanged).toBe(true);
    expect(again?.missing.join()).not.toMatch(/detector/);
    expect((await audits()).at(-1)).toMatchObject({ action: "detector.word", subject: id });
    await expect(sayDetector(LOCAL_ACTOR, id, { ...word, repairedAt: 5 })).rejects.toThrow(/no repair/);
  });
});
