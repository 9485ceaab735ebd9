import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { installQueue } from "../../lib/jobs/boss.ts";
import { runPlans } from "../../lib/jobs/plan-run.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readDraftRun, readDraftRuns } from "../../lib/reads/draft-run.ts";
import { PlanQuery, readPlan } from "../../lib/reads/plan.ts";
import { readPlanBoard } from "../../lib/reads/plan-board.ts";
import { readPlanRun } from "../../lib/reads/plan-run.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { addPlanRun } from "../../lib/store/plan-run.ts";
import { systemTransaction } from "../../lib/store/transaction.ts";
import { askPlan, askPlanAnew, stopAskedPlan } from "../../lib/writes/ask-plan.ts";
import { changePlan } from "../../lib/writes/change-plan.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { cancelPlanRun } from "../../lib/writes/plan-run.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
let data = "";
beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-plan-run-"));
  process.env.RAINTRIP_DATA = data;
  await installQueue(database().address);
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 40, days: 300, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: Date.UTC(2026, 10, 28) });
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const until = async (holds: () => Promise<boolean>) => {
  for (let tries = 0; tries < 600; tries++) {
    if (await holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error("it never came to hold");
};
const asked = (effort: number) => PlanQuery.parse({ from: "2026-11-30", days: 3, effort });
const open = (effort: number) => systemTransaction(LOCAL_ACTOR, (tx) => addPlanRun(tx, "local", asked(effort)));
const run = () => runPlans(database(), LOCAL_ACTOR, new AbortController().signal);

describe("runPlans", () => {
  test("makes the plan that the command makes, and one whose worker died is made anew", async () => {
    const fresh = await open(40);
    const orphan = await open(40);
    await systemTransaction(
      LOCAL_ACTOR,
      (tx) => tx`UPDATE plan_run SET status = 'running', started_at = now() WHERE run_id = ${orphan}`,
    );
    await run();
    const direct = await readPlan(LOCAL_ACTOR, asked(40));
    for (const runId of [fresh, orphan]) {
      const view = await readPlanRun(LOCAL_ACTOR, runId);
      expect(view).toMatchObject({ status: "done", from: "2026-11-30", days: 3, effort: 40, says: null });
      expect(view.plan).toEqual(direct);
      expect(view.objective).toBe(direct.objective);
      expect(view.bound).toBeGreaterThanOrEqual(direct.objective);
    }
  });

  test("tells the best so far while it runs, and keeps it when a person stops it", async () => {
    const runId = await open(100_000);
    const ends = run();
    for (let tries = 0; (await readPlanRun(LOCAL_ACTOR, runId)).plan === null && tries < 300; tries++)
      await new Promise((resolve) => setTimeout(resolve, 100));
    const during = await readPlanRun(LOCAL_ACTOR, runId);
    expect(during).toMatchObject({ status: "running", finished_at: null });
    expect(during.plan?.routes.length).toBeGreaterThan(0);
    expect(await cancelPlanRun(LOCAL_ACTOR, runId)).toEqual({ stopped: true });
    expect(await cancelPlanRun(LOCAL_ACTOR, runId)).toEqual({ stopped: false });
    await ends;
    const after = await readPlanRun(LOCAL_ACTOR, runId);
    expect(after.status).toBe("cancelled");
    expect(after.says).toMatch(/Stopped by .*best plan so far is kept/);
    expect(after.objective).toBeGreaterThanOrEqual(during.objective as number);
    expect(after.plan?.objective).toBe(after.objective);
  });

  test("a plan for the screen is found again while it is made, and ends as a draft of who asked when somebody stops it", async () => {
    const asker = { ...LOCAL_ACTOR, person: "dora" };
    const { runId } = await askPlan(asker, { from: "2026-11-30", days: 3, effort: 100_000 });
    // Nobody works yet: that is said, and the request waits.
    const waits = await readDraftRun(asker, runId);
    expect(waits).toMatchObject({ status: "waiting", silent: true, working: false, mine: true, best: null });
    expect((await readDraftRuns(LOCAL_ACTOR, null)).map((run) => [run.runId, run.mine])).toEqual([[runId, false]]);
    // A worker that is told to end leaves it open; the next one begins it anew.
    const ending = new AbortController();
    const first = runPlans(database(), LOCAL_ACTOR, ending.signal);
    await until(async () => (await readDraftRun(asker, runId)).best !== null);
    expect(await readDraftRun(asker, runId)).toMatchObject({ status: "running", working: true, silent: false });
    ending.abort();
    await first;
    expect(await readDraftRun(asker, runId)).toMatchObject({ status: "running", working: false, planId: null });
    // What the first one told is taken away, so that only the second one's word counts from here.
    await systemTransaction(LOCAL_ACTOR, (tx) => tx`UPDATE plan_run SET progress = NULL WHERE run_id = ${runId}`);
    const second = run();
    await until(async () => {
      const now = await readDraftRun(asker, runId);
      return now.working && now.best !== null && now.step !== null;
    });
    const during = await readDraftRun(asker, runId);
    expect(during.best?.visits).toBeGreaterThan(0);
    expect(await stopAskedPlan(LOCAL_ACTOR, runId, { giveUp: false })).toEqual({ stopped: "kept" });
    await second;
    const after = await readDraftRun(asker, runId);
    expect(after).toMatchObject({ status: "done", stopAskedBy: "local" });
    const board = await readPlanBoard(asker, after.planId as string);
    expect(board).toMatchObject({ state: "draft", madeBy: "dora", broken: [] });
    expect(board.notes[0]).toMatch(/Stopped by local/);
    expect(board.objective).toBeGreaterThanOrEqual((during.best?.value as number) - 1e-6);
    expect(await stopAskedPlan(LOCAL_ACTOR, runId, { giveUp: false })).toEqual({ stopped: "over" });
    expect(await readDraftRuns(asker, null)).toEqual([]);
  });

  test("one that nobody has begun can be taken back, and one that cannot be made says why", async () => {
    const { runId } = await askPlan(LOCAL_ACTOR, { from: "2026-11-30", days: 1, effort: 0 });
    expect(await stopAskedPlan(LOCAL_ACTOR, runId, { giveUp: true })).toEqual({ stopped: "taken_back" });
    await run();
    expect(await readDraftRun(LOCAL_ACTOR, runId)).toMatchObject({ status: "cancelled", planId: null });
    const made = await askPlan(LOCAL_ACTOR, { from: "2026-11-30", days: 1, effort: 0 });
    await run();
    const { planId } = await readDraftRun(LOCAL_ACTOR, made.runId);
    const anew = await askPlanAnew(LOCAL_ACTOR, planId as string, { revision: 1 });
    await changePlan(LOCAL_ACTOR, planId as string, {
      revision: 1,
      change: {
        kind: "lock",
        crewId: (await readPlanBoard(LOCAL_ACTOR, planId as string)).crewDays[0]?.crewId ?? "",
        day: "2026-11-30",
      },
    });
    await run();
    const failed = await readDraftRun(LOCAL_ACTOR, anew.runId);
    expect(failed).toMatchObject({ status: "failed", planId: null });
    expect(failed.says).toMatch(/Somebody changed this plan/);
    // Who asked finds it after a reload.
    expect((await readDraftRuns(LOCAL_ACTOR, planId)).map((each) => each.runId)).toEqual([anew.runId]);
  });

  test("an unknown run is not found", async () => {
    await expect(readPlanRun(LOCAL_ACTOR, "nope")).rejects.toMatchObject({ code: "not_found" });
    await expect(cancelPlanRun(LOCAL_ACTOR, "nope")).rejects.toMatchObject({ code: "not_found" });
  });
});
