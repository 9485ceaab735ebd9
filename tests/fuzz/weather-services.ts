import type { Rng } from "../../lib/core/random.ts";
import { FeedError } from "../../lib/live/feed-error.ts";
import { nwsForecast } from "../../lib/live/nws-forecast.ts";
import { nwsObservations } from "../../lib/live/nws-observations.ts";
import type { PoliteClient } from "../../lib/live/polite-client.ts";
import { chance, hostileCell, pick } from "./draw.ts";
import { FuzzFailure } from "./fuzz-target.ts";

/** JSON of a weather service with values of other kinds where others were. */
function twisted(rng: Rng, value: unknown): unknown {
  if (chance(rng, 0.06))
    return pick(rng, [null, -1, 1e308, "", "x", hostileCell(rng), [], {}, true, [[]], { value: "7" }, 1e-320]);
  if (Array.isArray(value)) return value.map((item) => twisted(rng, item));
  if (value && typeof value === "object")
    return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, twisted(rng, item)]));
  return value;
}

const quantity = (value: number, unitCode: string) => ({ value, unitCode, qualityControl: "V" });
const OBSERVATIONS = {
  type: "FeatureCollection",
  features: [
    ["2026-11-20T11:53:00+00:00", "KTOP 201153Z 18007KT 10SM -RA OVC020 05/04 A2990 RMK AO2 P0004 T00500040"],
    ["2026-11-20T10:53:00+00:00", ""],
  ].map(([timestamp, rawMessage]) => ({
    properties: {
      station: "https://api.example/stations/KTOP",
      timestamp,
      rawMessage,
      presentWeather: [{ weather: "rain", rawString: "-RA", intensity: "light" }],
      temperature: quantity(5, "wmoUnit:degC"),
      dewpoint: quantity(4, "wmoUnit:degC"),
      windSpeed: quantity(13, "wmoUnit:km_h-1"),
      relativeHumidity: quantity(93, "wmoUnit:percent"),
      precipitationLastHour: quantity(1, "wmoUnit:mm"),
    },
  })),
};
const layer = (uom: string, values: [string, number][]) => ({
  uom,
  values: values.map(([validTime, value]) => ({ validTime, value })),
});
const GRID = {
  properties: {
    updateTime: "2026-11-20T11:00:00+00:00",
    temperature: layer("wmoUnit:degC", [["2026-11-20T12:00:00+00:00/PT2H", 4]]),
    windSpeed: layer("wmoUnit:km_h-1", [["2026-11-20T12:00:00+00:00/P1DT3H", 36]]),
    probabilityOfPrecipitation: layer("wmoUnit:percent", [["2026-11-20T13:00:00+00:00/PT6H", 80]]),
    quantitativePrecipitation: layer("wmoUnit:mm", [["2026-11-20T13:00:00+00:00/PT6H", 12]]),
    probabilityOfThunder: { values: [] },
  },
};
const NOW = Date.UTC(2026, 10, 20, 12);

/** A weather service that answers anything: read, or refused in words. */
export async function servicesAnswer(rng: Rng): Promise<void> {
  const observed = chance(rng, 0.5);
  const json = twisted(rng, observed ? OBSERVATIONS : GRID);
  const files = { "answer.json": Buffer.from(JSON.stringify(json)) };
  const client = { get: async () => ({ kind: "body", json, validators: {} }) } as unknown as PoliteClient;
  try {
    if (observed) {
      const met = new Map<string, number>();
      const answer = await nwsObservations.observations(client, {
        stationId: "A1",
        key: "KTOP",
        from: NOW - 36e5 * 4,
        to: NOW,
        validators: {},
        met,
      });
      const reports = answer.kind === "reports" ? answer.reports : [];
      if (reports.some((report) => !Number.isFinite(report.at)))
        throw new FuzzFailure("a report without a time", files);
    } else {
      const answer = await nwsForecast.forecast(client, {
        latitude: 39,
        longitude: -95,
        cell: "TOP/31,80",
        validators: {},
        now: NOW,
      });
      if (answer.kind === "forecast" && !(answer.forecast.hours > 0 && answer.forecast.hours <= 240))
        throw new FuzzFailure(`a forecast of ${answer.forecast.hours} hours`, files);
    }
  } catch (error) {
    if (error instanceof FuzzFailure || !(error instanceof FeedError))
      throw new FuzzFailure(`threw ${(error as Error).stack}`, files);
  }
}
