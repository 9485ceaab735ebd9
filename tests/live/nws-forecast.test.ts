import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { FeedSettings } from "../../lib/live/feed-settings.ts";
import { nwsForecast } from "../../lib/live/nws-forecast.ts";
import { PoliteClient } from "../../lib/live/polite-client.ts";
import type { ForecastRequest, HourlyForecast } from "../../lib/live/provider.ts";
import { fail, json, StubWeather, stubOutside } from "../support/stub-weather.ts";

const HOUR = 3_600_000;
const NOW = Date.UTC(2026, 10, 20, 12);
const UPDATED = "2026-11-20T11:00:00+00:00";
let stub: StubWeather;
let settings: FeedSettings;
beforeEach(async () => {
  stub = new StubWeather();
  settings = await stub.start();
});
afterEach(() => stub.stop());

const ask = (change: Partial<ForecastRequest> = {}) =>
  nwsForecast.forecast(new PoliteClient(settings, stubOutside(NOW), new AbortController().signal), {
    latitude: 39,
    longitude: -95,
    cell: null,
    validators: {},
    now: NOW,
    ...change,
  });
const paths = () => stub.asked.map((a) => a.path);

/** Span and value. */
type Values = [string, number][];
const layer = (uom: string, values: Values) => ({
  uom,
  values: values.map(([validTime, value]) => ({ validTime, value })),
});
async function forecastOf(updateTime: string | null, layers: Record<string, unknown>): Promise<HourlyForecast> {
  stub.next.push((_q, response) => json(response, { properties: { updateTime, ...layers } }));
  const answer = await ask({ cell: "TOP/31,80" });
  if (answer.kind !== "forecast") throw new Error(`the answer is ${answer.kind}`);
  return answer.forecast;
}
const temperatures = (updateTime: string | null, values: Values) =>
  forecastOf(updateTime, { temperature: layer("wmoUnit:degC", values) });

describe("nwsForecast", () => {
  test("spreads a depth over its span, holds a probability in each hour, and leaves an empty layer unknown", async () => {
    expect(await ask()).toMatchObject({
      kind: "forecast",
      cell: "TOP/31,80",
      forecast: {
        firstHour: NOW / HOUR + 1,
        hours: 3,
        temperatureC: [4, 4, null],
        windMs: [10, 10, 10],
        precipitationProbabilityPct: [null, 80, 80],
        precipitationMm: [2, 2, 2],
        thunderProbabilityPct: [null, null, null],
      },
    });
  });

  test("a stray span long before or after the others neither moves nor widens the forecast", async () => {
    const values: Values = [
      ["2026-10-01T00:00:00+00:00/PT1H", 9],
      ["2026-11-20T12:00:00+00:00/PT3H", 4],
      ["2031-01-01T00:00:00+00:00/PT1H", 9],
    ];
    const usual = { firstHour: NOW / HOUR + 1, hours: 3, temperatureC: [4, 4, 4] };
    for (const updateTime of [UPDATED, null, "soon", "2020-01-01T00:00:00+00:00", "2031-01-01T00:00:00+00:00"])
      expect(await temperatures(updateTime, values), String(updateTime)).toMatchObject(usual);
  });

  test("of a span that reaches beyond the hours kept only those inside count, each with its own share", async () => {
    const rain = layer("wmoUnit:mm", [["2026-11-18T23:00:00+00:00/P2D", 48]]);
    const start = Date.UTC(2026, 10, 19, 11);
    const before = await forecastOf(UPDATED, { quantitativePrecipitation: rain });
    expect(before).toMatchObject({ firstHour: start / HOUR + 1, hours: 36 });
    expect(before.precipitationMm).toEqual(Array(36).fill(1));
    const long = await temperatures(UPDATED, [
      ["2026-11-19T10:00:00+00:00/PT2H", 3],
      ["2026-11-20T12:00:00+00:00/P30D", 4],
    ]);
    expect(long).toMatchObject({ firstHour: start / HOUR + 1, hours: 240 });
    expect([long.temperatureC[0], long.temperatureC[1], long.temperatureC[25], long.temperatureC.at(-1)]).toEqual([
      3,
      null,
      4,
      4,
    ]);
    expect(Object.keys(long.temperatureC), "nothing beside the hours").toHaveLength(240);
  });

  test("a grid whose spans all lie elsewhere is a bad answer, not a forecast without use", async () => {
    await expect(temperatures(UPDATED, [["2026-10-01T00:00:00+00:00/P7D", 9]])).rejects.toMatchObject({
      kind: "bad_answer",
    });
  });

  test("a grid of very many spans is read", async () => {
    const many: Values = Array.from({ length: 150_000 }, () => ["2026-11-20T12:00Z/PT1H", 4]);
    expect(await temperatures(UPDATED, many)).toMatchObject({ hours: 1, temperatureC: [4] });
  });

  test("a cell that is gone is looked up anew, once, and the new one asked without the old one's validators", async () => {
    const answer = await ask({ cell: "TOP/1,1", validators: { etag: '"old"' } });
    expect(answer).toMatchObject({ kind: "forecast", cell: "TOP/31,80" });
    expect(paths()).toEqual(["/gridpoints/TOP/1,1", "/points/39,-95", "/gridpoints/TOP/31,80"]);
    expect(stub.asked.map((a) => a.etag)).toEqual(['"old"', undefined, undefined]);
  });

  test("a place is absent when its cell is gone and the look-up names none, the same, or another that is gone", async () => {
    stub.next.push(fail(404), fail(404));
    expect(await ask({ cell: "TOP/1,1" })).toEqual({ kind: "absent" });
    expect(paths()).toEqual(["/gridpoints/TOP/1,1", "/points/39,-95"]);
    stub.asked.length = 0;
    stub.next.push(fail(404));
    expect(await ask({ cell: "TOP/31,80" })).toEqual({ kind: "absent" });
    expect(paths()).toEqual(["/gridpoints/TOP/31,80", "/points/39,-95"]);
    stub.asked.length = 0;
    stub.next.push(fail(404), (_q, response) => json(response, { properties: { gridId: "TOP", gridX: 2, gridY: 2 } }));
    expect(await ask({ cell: "TOP/1,1" })).toEqual({ kind: "absent" });
    expect(paths()).toEqual(["/gridpoints/TOP/1,1", "/points/39,-95", "/gridpoints/TOP/2,2"]);
  });
});
