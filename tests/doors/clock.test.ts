import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { refreshScores, staleCount } from "../../lib/jobs/refresh-scores.ts";
import { readFleetFindings } from "../../lib/reads/fleet-findings.ts";
import { readScore } from "../../lib/reads/score.ts";
import { readWeatherPicture } from "../../lib/reads/weather-picture.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { acceptClock, withdrawClock } from "../../lib/writes/clock-correction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { makeWorld } from "../../seed/world.ts";
import { truthOf, writeDemoDrop } from "../../seed/write-demo.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const NOW = Date.UTC(2026, 10, 20);
const WORLD = { seed: "demo", sites: 120, days: 730, endDay: "2026-10-31" };
/** Planted: its log runs five hours ahead. */
const SITE = "S058";
const SOURCE = `log/gateway-${SITE}`;
let data = "";

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-clock-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, WORLD);
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: NOW });
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const scores = async () => (await readScore(LOCAL_ACTOR, {})).sites;
const clockOf = async () => (await readWeatherPicture(LOCAL_ACTOR, SITE))?.clocks.find((c) => c.source === SOURCE);
const audit = (action: string) =>
  readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ subject: string }[]>`SELECT subject FROM audit_entry WHERE action = ${action}`,
  );

describe("the clock of a log source", () => {
  test("the wrong clock is proposed, and no right one is", async () => {
    const truth = new Map(truthOf(makeWorld(WORLD)).map((t) => [t.siteId, t.clockHours]));
    expect(truth.get(SITE)).toBe(5);
    const proposed = (await scores()).filter((s) => s.weather.clock_offset_hours !== null);
    expect(proposed.map((s) => [s.site_id, s.weather.clock_offset_hours])).toContainEqual([SITE, 5]);
    for (const s of proposed) expect(s.weather.clock_offset_hours, s.site_id).toBe(truth.get(s.site_id));
  });

  test("nothing is moved until a person accepts it, with a reason, and only what is proposed can be accepted", async () => {
    const wrong = { source: SOURCE, offsetHours: 4, summerHours: 0, reason: "guess" };
    await expect(acceptClock(LOCAL_ACTOR, wrong)).rejects.toThrow(/no longer what is proposed/);
    const before = await clockOf();
    expect(before).toMatchObject({ corrected: null, proposal: { offsetHours: 5, summerHours: 0 } });
    expect(before?.darkAsRead).toBeLessThan(before?.darkAsLogged as number);
    expect(await audit("clock.accept")).toHaveLength(0);
  });

  test("accepted, the site alone is scored anew in true time, and the clock is then right; withdrawn, all is as before", async () => {
    const old = (await scores()).find((s) => s.site_id === SITE);
    await acceptClock(LOCAL_ACTOR, { source: SOURCE, offsetHours: 5, summerHours: 0, reason: "gateway was replaced" });
    expect(await audit("clock.accept")).toMatchObject([{ subject: SOURCE }]);
    expect(await readTransaction(LOCAL_ACTOR, (tx) => staleCount(tx, NOW))).toBe(1);
    await refreshScores(LOCAL_ACTOR, { now: NOW });
    const now = (await scores()).find((s) => s.site_id === SITE);
    expect(now?.weather.clock_offset_hours).toBeNull();
    expect(now?.notes.some((n) => n.includes("corrected for a clock 5 h ahead"))).toBe(true);
    const clock = await clockOf();
    expect(clock).toMatchObject({ proposal: null, corrected: { offsetHours: 5, by: "local" } });
    expect(clock?.darkAsLogged).toBe(0);
    await withdrawClock(LOCAL_ACTOR, { source: SOURCE, reason: "it was right after all" });
    await refreshScores(LOCAL_ACTOR, { now: NOW });
    expect((await scores()).find((s) => s.site_id === SITE)).toEqual(old);
    await expect(withdrawClock(LOCAL_ACTOR, { source: SOURCE, reason: "again" })).rejects.toThrow(/in force/);
  });
});

describe("readWeatherPicture", () => {
  test("gives the numbers of the score beside the pictures, and nothing for a site that is not there", async () => {
    const all = await scores();
    const wet = all.find((s) => s.weather.driver === "any_wet" || s.weather.driver === "rain");
    const view = await readWeatherPicture(LOCAL_ACTOR, wet?.site_id ?? "");
    expect(view).toMatchObject({
      rateRatio: wet?.weather.rate_ratio,
      wetEpisodes: wet?.weather.wet_episodes,
      dryHours: wet?.weather.dry_hours,
    });
    expect(view?.drivers?.best).toBe(wet?.weather.driver);
    expect(view?.noEffect).not.toBeNull();
    expect(JSON.stringify(view)).not.toContain("NaN");
    expect(await readWeatherPicture(LOCAL_ACTOR, "NOPE")).toBeNull();
  });
});

describe("readFleetFindings", () => {
  test("counts the findings that the scores have", async () => {
    const found = await readFleetFindings(LOCAL_ACTOR);
    const q = (await scores()).flatMap((s) => (s.weather.q_value === null ? [] : [s.weather.q_value]));
    expect(found.sites).toBe(q.length);
    expect(found.findings).toBe(q.filter((x) => x <= 0.05).length);
    expect(found.histogram.reduce((a, b) => a + b, 0)).toBe(q.length);
  });
});
