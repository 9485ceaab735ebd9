import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { runPlans } from "../../lib/jobs/plan-run.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { PlanQuery, readPlan } from "../../lib/reads/plan.ts";
import { readPlanRun } from "../../lib/reads/plan-run.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { addPlanRun } from "../../lib/store/plan-run.ts";
import { systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { cancelPlanRun } from "../../lib/writes/plan-run.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
let data = "";
beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-plan-run-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 40, days: 300, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: Date.UTC(2026, 10, 28) });
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

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

  test("an unknown run is not found", async () => {
    await expect(readPlanRun(LOCAL_ACTOR, "nope")).rejects.toMatchObject({ code: "not_found" });
    await expect(cancelPlanRun(LOCAL_ACTOR, "nope")).rejects.toMatchObject({ code: "not_found" });
  });
});
