import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import os from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { askRoads } from "../../lib/jobs/ask-roads.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { feedConfiguration } from "../../lib/live/feed-settings.ts";
import { PlanQuery, planInput, readPlan } from "../../lib/reads/plan.ts";
import { lackingWaysCsv, readTravelTimesView } from "../../lib/reads/travel-times.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import {
  importTravelTimes,
  readTravelTimes,
  removeTravelTimes,
  takeTravelTimes,
} from "../../lib/writes/travel-times.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { stubOutside } from "../support/stub-weather.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
let data = "";
let server: Server;
let address = "";
const asked: string[] = [];
let failing = false;

/** A table service on loopback: seconds and metres by the difference of longitudes, and no way at all to the first place. */
function startRoads(): Promise<void> {
  server = createServer((request, response) => {
    const url = new URL(request.url ?? "/", "http://stub");
    asked.push(url.pathname);
    if (failing) {
      response.writeHead(500).end();
      return;
    }
    const places = url.pathname
      .replace("/table/v1/driving/", "")
      .split(";")
      .map((place) => Number(place.split(",")[0]));
    const picked = (name: string) => (url.searchParams.get(name) ?? "").split(";").map(Number);
    const table = (factor: number) =>
      picked("sources").map((a) =>
        picked("destinations").map((b) => Math.round(1 + factor * Math.abs((places[a] ?? 0) - (places[b] ?? 0)))),
      );
    response.setHeader("content-type", "application/json");
    response.end(JSON.stringify({ code: "Ok", durations: table(3600), distances: table(90_000) }));
  });
  return new Promise((resolve) => {
    server.listen(0, "127.0.0.1", () => {
      address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
      resolve();
    });
  });
}

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-roads-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 20, days: 200, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await refreshScores(LOCAL_ACTOR, { now: Date.UTC(2026, 10, 28) });
  await startRoads();
});
afterAll(async () => {
  await new Promise((resolve) => server.close(resolve));
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const QUERY = PlanQuery.parse({ from: "2026-11-30", days: 3, effort: 20 });
const read = () => readTransaction(LOCAL_ACTOR, (tx) => planInput(tx, QUERY));
const service = () =>
  feedConfiguration({ RAINTRIP_ROADS_URL: address, RAINTRIP_ROADS_CONTACT: "ops@example.invalid" }, "RAINTRIP_ROADS");
const ask = () =>
  askRoads(database(), LOCAL_ACTOR, {
    signal: new AbortController().signal,
    outside: stubOutside(Date.UTC(2026, 10, 28)),
    service: service(),
  });

describe("readTravelTimes", () => {
  test("takes lines that hold a way and says of each other what to change", () => {
    const { ways, refused } = readTravelTimes(
      [
        "from_kind,from_id,to_kind,to_id,minutes,km",
        "crew,C1,site,S1,30,28.5",
        "site,S1,crew,C1,31,",
        "depot,C1,site,S1,30,",
        "site,S1,site,S2,soon,",
        "site,S1,site,S2,-4,",
        "site,S1,site,S2,20,far",
      ].join("\n"),
    );
    expect([...ways.values()].map((way) => [way.from, way.to, way.minutes, way.km])).toEqual([
      ["crew C1", "site S1", 30, 28.5],
      ["site S1", "crew C1", 31, null],
    ]);
    expect(refused.map((each) => each.line)).toEqual([4, 5, 6, 7]);
    expect(() => readTravelTimes("from,to,minutes\n")).toThrow("from_kind, from_id, to_kind, to_id");
  });
});

describe("plans on given roads", () => {
  test("without any the ways are the great circle's, and nobody is asked", async () => {
    expect((await read()).input.roads).toBeUndefined();
    const off = await askRoads(database(), LOCAL_ACTOR, { signal: new AbortController().signal });
    expect(off).toEqual({ requests: 0, stored: 0, says: null });
  });

  test("a file with holes is taken for the ways it has, the rest is said and falls back", async () => {
    const { input } = await read();
    const [visit] = input.visits;
    const [crew] = input.crews;
    const file = path.join(data, "ways.csv");
    const lines = [
      "from_kind,from_id,to_kind,to_id,minutes,km",
      `crew,${crew?.crewId},site,${visit?.site.siteId},17,20`,
      "crew,nobody,site,nowhere,5,5",
    ];
    writeFileSync(file, lines.join("\r\n"));
    expect(await importTravelTimes(LOCAL_ACTOR, file)).toEqual({
      stored: 1,
      refused: [{ line: 3, why: "There is no crew nobody." }],
    });
    const leg = (await read()).input.roads?.leg;
    expect(leg?.(`crew ${crew?.crewId}`, `site ${visit?.site.siteId}`)).toEqual({ minutes: 17, km: 20 });
    const plan = await readPlan(LOCAL_ACTOR, QUERY);
    expect(plan.notes?.join(" ")).toMatch(/lacks \d+ of \d+ ways, such as .* great circle/);
  });

  test("what a screen gives is taken the same way, a text without any way changes nothing, and all can be removed again", async () => {
    const view = await readTravelTimesView(LOCAL_ACTOR);
    expect(view).toMatchObject({ own: 1, asked: 0, lacking: view.ways - 1 });
    expect(view.examples.length).toBeGreaterThan(0);
    const head = "from_kind,from_id,to_kind,to_id,minutes,km";
    const nothing = await takeTravelTimes(LOCAL_ACTOR, `${head}\ncrew,nobody,site,nowhere,5,5\ncrew,C1,site,S001,-5,`);
    expect(nothing).toEqual({
      stored: 0,
      refused: [
        { line: 2, why: "There is no crew nobody." },
        { line: 3, why: '"-5" is no number of minutes at least 0.' },
      ],
    });
    expect((await readTravelTimesView(LOCAL_ACTOR)).own).toBe(1);
    const asked = await (await lackingWaysCsv(LOCAL_ACTOR)).text();
    expect(asked.split("\n")[0]?.trim()).toBe(head);
    // Filled in, the file of what lacks is taken whole, and nothing lacks.
    const filled = asked.replaceAll(/,,(\r?)$/gm, ",12,9$1");
    expect(await takeTravelTimes(LOCAL_ACTOR, filled)).toEqual({ stored: view.lacking, refused: [] });
    expect(await removeTravelTimes(LOCAL_ACTOR)).toEqual({ removed: view.lacking });
    expect(await removeTravelTimes(LOCAL_ACTOR)).toEqual({ removed: 0 });
    const { input } = await read();
    expect(input.roads).toBeUndefined();
    const [visit] = input.visits;
    const [crew] = input.crews;
    await takeTravelTimes(LOCAL_ACTOR, `${head}\ncrew,${crew?.crewId},site,${visit?.site.siteId},17,20`);
  });

  test("a routing server is asked in blocks for what is lacking, once, and again where a site has moved", async () => {
    const first = await ask();
    expect(first.says).toBeNull();
    expect(first.requests).toBeGreaterThan(0);
    const { input } = await read();
    const [visit] = input.visits;
    const [crew] = input.crews;
    const site = `site ${visit?.site.siteId}`;
    const base = `crew ${crew?.crewId}`;
    const away = Math.abs((visit?.site.longitude ?? 0) - (crew?.baseLongitude ?? 0));
    expect(input.roads?.leg(site, base)?.minutes).toBeCloseTo(60 * away, 0);
    expect(input.roads?.leg(site, base)?.km).toBeCloseTo(90 * away, 0);
    // A user's own way stands before the server's.
    expect(input.roads?.leg(base, site)).toEqual({ minutes: 17, km: 20 });
    const plan = await readPlan(LOCAL_ACTOR, QUERY);
    expect(plan.notes?.join(" ")).not.toMatch(/lacks/);
    expect((await ask()).requests).toBe(0);
    await systemTransaction(
      LOCAL_ACTOR,
      (tx) => tx`UPDATE site SET longitude = longitude + 0.5 WHERE site_id = ${visit?.site.siteId ?? ""}`,
    );
    expect((await read()).input.roads?.leg(site, base)).toBeNull();
    expect((await ask()).requests).toBeGreaterThan(0);
    expect((await read()).input.roads?.leg(site, base)).not.toBeNull();
  });

  test("a server that fails is told of, and the plan is made all the same", async () => {
    await systemTransaction(LOCAL_ACTOR, (tx) => tx`DELETE FROM travel_time`);
    failing = true;
    expect((await ask()).says).toMatch(/routing server: it answered 500/);
    expect((await readPlan(LOCAL_ACTOR, QUERY)).routes.length).toBeGreaterThan(0);
    const wrong = feedConfiguration({ RAINTRIP_ROADS_URL: "http://elsewhere.example" }, "RAINTRIP_ROADS");
    expect(wrong).toMatchObject({ kind: "wrong", says: expect.stringContaining("RAINTRIP_ROADS_URL") });
  });
});
