import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { runWeatherFeed } from "../../lib/jobs/weather-run.ts";
import type { FeedSettings } from "../../lib/live/feed-settings.ts";
import { readWeatherFeed } from "../../lib/reads/weather-feed.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { newestHour, weatherSeries } from "../../lib/store/weather.ts";
import { addFeedRun, feedStations, newestFeedRun, siteForecasts } from "../../lib/store/weather-feed.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { startWeatherRun, stopWeatherRun } from "../../lib/writes/weather-feed.ts";
import { dropFolder } from "../support/drop-folder.ts";
import { fail, StubWeather, stubOutside } from "../support/stub-weather.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const HOUR = 3_600_000;
const NOW = Date.UTC(2026, 10, 20, 12);
const stub = new StubWeather();
let settings: FeedSettings;

/** Routine reports of the last two days, one an hour, dry but for one hour. */
const reports = (key: string) =>
  Array.from({ length: 48 }, (_, i) => {
    const at = NOW - (48 - i) * HOUR + 53 * 60_000;
    const time = new Date(at).toISOString();
    const rain = i === 30 ? " P0012" : "";
    const raw = `${key} ${time.slice(8, 10)}${time.slice(11, 13)}53Z 00000KT 10SM CLR 05/04 A3000 RMK AO2${rain}`;
    return { at, raw };
  }).filter((report) => report.at <= NOW);
const RAIN_HOUR = NOW / HOUR - 48 + 30 + 1;

beforeAll(async () => {
  settings = await stub.start();
});

async function importFleet() {
  await importPaths(LOCAL_ACTOR, [
    dropFolder({
      "stations.csv":
        "station_id,latitude,longitude,elevation_m,aliases\nA1,39.0,-95.0,270,KAAA\nB2,39.1,-95.1,275,KBBB\nFAR,20.0,-95.0,10,KFAR\nNUM,39.2,-95.0,270,\n",
      "sites.csv":
        "site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw,access\nS1,One,Book,39.01,-95.01,America/Chicago,10,8,public\n",
      "inverters.csv": "site_id,inverter_id,ac_kw\nS1,I1,8\n",
      "inspections.csv":
        "site_id,inspected_at,check,point_a,point_b,outcome,value,unit,quantity,meter_impedance\nS1,2026-11-10,section_potential,inverter:I1,ground_bus,fail,60,volt,dc,low\n",
    }),
  ]);
  await refreshScores(LOCAL_ACTOR, { now: NOW });
}
afterAll(() => stub.stop());
beforeEach(() => {
  stub.asked.length = 0;
  stub.next.length = 0;
});

const read = <T>(work: Parameters<typeof readTransaction<T>>[1]) => readTransaction(LOCAL_ACTOR, work);
async function run(options: { now?: number; runCap?: number; signal?: AbortSignal } = {}) {
  await systemTransaction(LOCAL_ACTOR, async (tx) => {
    const open = await newestFeedRun(tx);
    if (open?.status !== "waiting" && open?.status !== "running") await addFeedRun(tx, "local");
  });
  return runWeatherFeed(database(), LOCAL_ACTOR, {
    settings: { ...settings, runCap: options.runCap ?? 300 },
    signal: options.signal ?? new AbortController().signal,
    outside: stubOutside(options.now ?? NOW),
  });
}
const version = async () =>
  (await read((tx) => tx<{ version: string }[]>`SELECT version FROM station WHERE station_id = 'A1'`))[0]?.version;
const rainAt = async (hour: number) => {
  const s = await read((tx) => weatherSeries(tx, "A1"));
  return s ? s.precipitationMm[hour - s.firstHour] : undefined;
};

describe("runWeatherFeed", () => {
  test("a run that was killed half way is taken up by the next, and the hours are those of one whole run", async () => {
    await importFleet();
    stub.stations.set("KAAA", reports("KAAA"));
    stub.stations.set("KBBB", reports("KBBB"));
    const dying = new AbortController();
    stub.next.push(
      ...Array.from({ length: 5 }, () => (_q: unknown, response: Parameters<ReturnType<typeof fail>>[1]) => {
        response
          .writeHead(200, { "content-type": "application/geo+json" })
          .end(JSON.stringify({ type: "FeatureCollection", features: [] }));
      }),
      (_q, response) => {
        dying.abort();
        response.destroy();
      },
    );
    await run({ signal: dying.signal });
    expect((await read(newestFeedRun))?.status, "a killed worker leaves the run open").toBe("running");
    const before = stub.asked.length;
    expect(await run()).toBeGreaterThan(80);
    expect(stub.asked.length - before).toBeGreaterThan(10);
    expect(await read(newestFeedRun)).toMatchObject({ status: "done" });
    expect(await rainAt(RAIN_HOUR)).toBeCloseTo(3.05, 2);
    expect(await rainAt(RAIN_HOUR - 1)).toBe(0);
    expect(await rainAt(NOW / HOUR - 60), "an hour without a report is unknown, not dry").toBeNaN();
    expect(await read((tx) => newestHour(tx, "A1"))).toBe(NOW);
  });

  test("asking again changes nothing; stations out of use or without a known name are not asked", async () => {
    const was = await version();
    expect(await run({ now: NOW + HOUR })).toBe(0);
    expect(await version()).toBe(was);
    const names = stub.asked.filter((a) => a.path.startsWith("/stations/")).map((a) => a.path.split("/")[2]);
    expect(new Set(names)).toEqual(new Set(["KAAA", "KBBB"]));
    const stations = await read(feedStations);
    expect(stations.get("NUM")?.error).toMatch(/identifier in aliases/);
    expect(stations.has("FAR")).toBe(false);
  });

  test("a correction, and an hour that comes late, are stored at the next look and raise the station's version", async () => {
    const was = Number(await version());
    const list = stub.stations.get("KAAA") ?? [];
    const late = list.findIndex((o) => Math.ceil(o.at / HOUR) === RAIN_HOUR);
    const first = list[late] as { at: number; raw: string };
    list.push({ at: first.at, raw: first.raw.replace("53Z ", "53Z COR ").replace("P0012", "P0002") });
    const gone = list.findIndex((o) => Math.ceil(o.at / HOUR) === NOW / HOUR - 5);
    expect(gone).toBeGreaterThan(0);
    expect(await run({ now: NOW + 8 * HOUR })).toBe(1);
    expect(await rainAt(RAIN_HOUR)).toBeCloseTo(0.51, 2);
    expect(Number(await version())).toBe(was + 1);
  });

  test("a value that the service does not give leaves what a file told alone", async () => {
    const hour = new Date((NOW / HOUR + 9) * HOUR).toISOString();
    await importPaths(LOCAL_ACTOR, [
      dropFolder({ "weather.csv": `station_id,observed_at,precipitation_mm,wind_m_s\nA1,${hour},2.5,4\n` }),
    ]);
    stub.stations.get("KAAA")?.push({ at: NOW + 8.9 * HOUR, temperatureC: 7 });
    expect(await run({ now: NOW + 10 * HOUR })).toBe(1);
    const s = await read((tx) => weatherSeries(tx, "A1"));
    const i = NOW / HOUR + 9 - (s?.firstHour ?? 0);
    expect([s?.precipitationMm[i], s?.windMs[i], s?.temperatureC[i]]).toEqual([2.5, 4, 7]);
  });

  test("at its cap a run ends and says so, and the next goes on; a service that asks for quiet is left alone", async () => {
    const later = NOW + 60 * HOUR;
    await run({ now: later, runCap: 3 });
    expect(stub.asked.length).toBe(3);
    expect((await read(newestFeedRun))?.says).toMatch(/cap of .* the next run goes on/);
    stub.next.push(fail(429, { "retry-after": "7200" }));
    await run({ now: later });
    const paused = await read(newestFeedRun);
    expect(paused?.quietUntil).toBeGreaterThanOrEqual(later + 2 * HOUR);
    await run({ now: later });
    expect((await read(feedStations)).get("A1")?.askedThrough).toBe(later / HOUR);
  });

  test("a site in the queue gets its forecast", async () => {
    const [forecast] = (await read((tx) => siteForecasts(tx, ["S1"]))).values();
    expect(forecast).toMatchObject({ cell: "TOP/31,80", forecast: { precipitationMm: [2, 2, 2] } });
  });

  test("a station that never answers is said with its reason and stops no other", async () => {
    stub.stations.delete("KBBB");
    stub.stations.get("KAAA")?.push({ at: NOW + 99.5 * HOUR, temperatureC: null });
    stub.stations.get("KAAA")?.push({ at: NOW + 99 * HOUR, temperatureC: 3 });
    expect(await run({ now: NOW + 100 * HOUR })).toBe(1);
    expect((await read(feedStations)).get("B2")?.error).toMatch(/no station KBBB/);
    expect((await read(feedStations)).get("A1")?.lastHour, "a report without a value is no hour").toBe(NOW / HOUR + 99);
  });
});

describe("startWeatherRun", () => {
  test("with no service set nothing starts, nothing is asked, and the page says how to turn it on", async () => {
    await expect(startWeatherRun(LOCAL_ACTOR)).rejects.toThrow(/feed is off/);
    const view = await readWeatherFeed(LOCAL_ACTOR);
    expect(view).toMatchObject({ state: "off", says: expect.stringContaining("RAINTRIP_WEATHER_URL") });
    expect(stub.asked).toEqual([]);
  });

  test("a person stops a run, and what it asked before that stays", async () => {
    await systemTransaction(LOCAL_ACTOR, (tx) => addFeedRun(tx, "local"));
    stub.next.push((_q, response) => {
      stopWeatherRun(LOCAL_ACTOR).then(() => fail(500)(_q, response));
    });
    await run({ now: NOW + 120 * HOUR });
    expect(await read(newestFeedRun)).toMatchObject({ status: "cancelled", says: expect.stringContaining("local") });
  });
});
