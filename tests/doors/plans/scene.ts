import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll } from "vitest";
import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { readPlanBoard } from "../../../lib/reads/plan-board.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../../lib/store/transaction.ts";
import { saveSiteForecast } from "../../../lib/store/weather-feed.ts";
import { changePlan, type PlanEdit } from "../../../lib/writes/change-plan.ts";
import { importPaths } from "../../../lib/writes/import-paths.ts";
import { writeDemoDrop } from "../../../seed/write-demo.ts";
import { makePlan } from "../../support/plan-now.ts";
import { useTestDatabase } from "../../support/test-database.ts";

useTestDatabase();
export let data = "";
beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-plans-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 60, days: 400, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: Date.UTC(2026, 10, 28) });
  await foretellDry();
});

/** A dry, mild and calm fortnight everywhere: what this month's past years refuse on a roof is not what is tested here. */
export async function foretellDry(): Promise<void> {
  const hours = 14 * 24;
  const all = (value: number) => Array.from({ length: hours }, () => value);
  const forecast = {
    issuedAt: null,
    firstHour: Date.UTC(2026, 10, 28) / 3_600_000,
    hours,
    precipitationProbabilityPct: all(0),
    precipitationMm: all(0),
    windMs: all(2),
    temperatureC: all(15),
    thunderProbabilityPct: all(0),
  };
  await systemTransaction(LOCAL_ACTOR, async (tx) => {
    const sites = await tx<{ id: string }[]>`SELECT site_id AS id FROM site WHERE account_id = current_account()`;
    for (const { id } of sites)
      await saveSiteForecast(tx, {
        siteId: id,
        cell: "test",
        askedAt: Date.UTC(2026, 10, 28),
        validators: {},
        forecast,
      });
  });
}

afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

export const FROM = "2026-11-30";
export const made = () => makePlan(LOCAL_ACTOR, { from: FROM, days: 3, effort: 60 });
export const board = (planId: string) => readPlanBoard(LOCAL_ACTOR, planId);
export const stopsOf = (view: Awaited<ReturnType<typeof board>>) =>
  view.crewDays.flatMap((d) => d.stops.map((stop) => ({ ...stop, crewId: d.crewId, day: d.day })));
export const change = async (planId: string, edit: PlanEdit, reason = "") =>
  changePlan(LOCAL_ACTOR, planId, { revision: (await board(planId)).revision, change: edit, reason });
export const bookings = () =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ visit_id: string; crew_id: string | null; from: Date | null; status: string }[]>`
      SELECT visit_id, crew_id, promised_from AS from, status FROM visit ORDER BY visit_id`,
  );
