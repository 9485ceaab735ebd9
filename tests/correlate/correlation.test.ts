import { describe, expect, test } from "vitest";
import { poissonDeviate, seededRng } from "../../lib/core/random.ts";
import type { FaultRow, SiteRecords } from "../../lib/core/records.ts";
import { binomialCdf } from "../../lib/core/statistics.ts";
import { HOUR_MS, unknownSeries, type WeatherSeries } from "../../lib/core/weather-series.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import { poissonBinomialTail } from "../../lib/correlate/poisson-binomial.ts";
import { shiftTest } from "../../lib/correlate/shift-test.ts";
import { residuals } from "../../lib/correlate/strata.ts";
import { sunHours } from "../../lib/correlate/sun-hours.ts";
import { sunElevationDeg } from "../../lib/weather/sun-position.ts";
import { wetness } from "../../lib/weather/wetness.ts";
import { sampleInverter, sampleRecords, sampleSection, sampleSite } from "../support/sample-site.ts";

const WHERE = { latitude: 41, longitude: -93 };
const START = Date.UTC(2024, 0, 1) / HOUR_MS + 1;
const DAYS = 400;

/** A year and more of weather with rain in runs; warm enough that nothing freezes. */
function rainySeries(seed: string): WeatherSeries {
  const rng = seededRng(seed);
  const s = unknownSeries("W", START, DAYS * 24);
  let left = 0;
  for (let i = 0; i < s.hours; i++) {
    if (left === 0 && rng() < 0.012) left = 1 + Math.floor(rng() * 12);
    s.precipitationMm[i] = left > 0 ? 0.5 + rng() : 0;
    if (left > 0) left--;
    s.temperatureC[i] = 18 + 4 * Math.sin((2 * Math.PI * (i % 24)) / 24);
    s.dewPointC[i] = 8;
    s.windMs[i] = 2 + 2 * rng();
    s.thunder[i] = 0;
  }
  return s;
}

interface World {
  series: WeatherSeries;
  dry: number;
  wet: number;
  seed: string;
}

/** Ground faults at given rates per lit hour, by the product's own wetness, an hour long each. */
function site({ series, dry, wet, seed }: World): {
  records: SiteRecords;
  weather: { series: WeatherSeries; wetness: ReturnType<typeof wetness>["wetness"] };
} {
  const rng = seededRng(seed);
  const w = wetness(series, WHERE).wetness;
  const faults: FaultRow[] = [];
  let busy = 0;
  for (let i = 48; i < series.hours; i++) {
    const start = (series.firstHour + i - 1) * HOUR_MS + Math.floor(rng() * HOUR_MS);
    if (sunElevationDeg(start, WHERE) < 3 || start < busy) continue;
    if (poissonDeviate(rng, w.wet[i] === 1 ? wet : dry) === 0) continue;
    busy = start + 4.2 * HOUR_MS;
    faults.push({
      siteId: "S1",
      inverterId: "I1",
      startedAt: start,
      endedAt: start + HOUR_MS,
      code: "1",
      codeSystem: "sunspec_evt1",
      message: null,
      resetAt: null,
      resetBy: null,
      ticketId: null,
      closedAs: null,
    });
  }
  const records = sampleRecords({
    site: sampleSite(WHERE),
    inverters: [sampleInverter({ inverterId: "I1" })],
    sections: [sampleSection({ inverterId: "I1" })],
    faults,
  });
  return { records, weather: { series, wetness: w } };
}

const END = (START + DAYS * 24) * HOUR_MS;
const WINDOW = new Map([["I1", { from: START * HOUR_MS, to: END }]]);
const run = (s: ReturnType<typeof site>, over: Partial<Parameters<typeof correlateSite>[0]> = {}) =>
  correlateSite({
    records: s.records,
    meanings: new Map(),
    weather: s.weather,
    where: WHERE,
    logWindows: WINDOW,
    asOf: END,
    ...over,
  });

describe("correlateSite", () => {
  test("recovers a planted ratio of eight within its interval and names a wet driver", () => {
    const c = run(site({ series: rainySeries("a"), dry: 0.004, wet: 0.032, seed: "planted" }));
    expect(c.weather.low as number).toBeLessThan(8);
    expect(c.weather.high as number).toBeGreaterThan(8);
    expect(c.weather.low as number).toBeGreaterThan(1);
    expect(c.weather.pValue as number).toBeLessThan(0.001);
    expect(["rain", "any_wet"]).toContain(c.weather.driver);
  });

  test("in a world where weather does nothing it raises an alarm about as often as it says", () => {
    const skies = Array.from({ length: 10 }, (_, i) => rainySeries(`null-${i}`));
    let alarms = 0;
    const sites = 120;
    for (let i = 0; i < sites; i++) {
      const c = run(site({ series: skies[i % 10] as WeatherSeries, dry: 0.008, wet: 0.008, seed: `site-${i}` }));
      if ((c.weather.pValue ?? 1) <= 0.05) alarms++;
    }
    // Nominal 5 % of 120 is 6; fourteen or more would happen by chance about once in 300 runs.
    expect(alarms).toBeLessThan(14);
  });

  test("hours by state, hours left out and the night add up to every hour of every unit", () => {
    const s = site({ series: rainySeries("b"), dry: 0.01, wet: 0.02, seed: "sum" });
    const c = run(s);
    const atRisk = Object.values(c.byState).reduce((sum, b) => sum + b.unitHours, 0);
    const out = Object.values(c.excludedUnitHours).reduce((sum, n) => sum + n, 0);
    expect((atRisk + out) % 24).toBe(0);
    expect(atRisk + out).toBeGreaterThanOrEqual(DAYS * 24 - 24);
    expect(atRisk + out).toBeLessThanOrEqual(DAYS * 24 + 24);
    expect(c.exposureByMonth.reduce((sum, m) => sum + Object.values(m.unitHours).reduce((a, b) => a + b, 0), 0)).toBe(
      atRisk,
    );
  });

  test("no weather says so and gives no ratio", () => {
    const s = site({ series: rainySeries("c"), dry: 0.01, wet: 0.02, seed: "none" });
    const c = run(s, { weather: null });
    expect(c.weather).toMatchObject({
      driver: "weather_unknown",
      rateRatio: null,
      pValue: null,
      wetEpisodes: 0,
      dryEpisodes: 0,
    });
    expect(c.gaps.map((g) => g.what)).toContain("weather");
  });

  test("fewer than four wet episodes is not enough data to tell, with how many more wet hours would do", () => {
    const s = site({ series: rainySeries("d"), dry: 0.001, wet: 0.001, seed: "few" });
    s.records.faults = s.records.faults.slice(0, 2);
    const c = run(s);
    expect(c.weather.driver).toBe("not_enough_data");
    expect(c.gaps.find((g) => g.what === "wet_episodes")?.says).toMatch(/Not enough data to tell.*more wet hours/);
  });

  test("records after the instant of the score are not used", () => {
    const s = site({ series: rainySeries("e"), dry: 0.01, wet: 0.03, seed: "later" });
    const half = (START + (DAYS / 2) * 24) * HOUR_MS;
    const before = { ...s, records: { ...s.records, faults: s.records.faults.filter((f) => f.startedAt <= half) } };
    expect(run(s, { asOf: half })).toEqual(run(before, { asOf: half }));
  });

  test.each([
    ["a site at the pole", { where: { latitude: 89.9, longitude: 0 } }],
    [
      "a log before the first weather hour",
      {
        logWindows: new Map([["I1", { from: Date.UTC(2019, 0, 1), to: Date.UTC(2019, 11, 31) }]]),
        asOf: Date.UTC(2020, 0, 1),
      },
    ],
    ["no log at all", { logWindows: new Map() }],
  ])("%s gives a clear statement and never NaN", (_name, over) => {
    const s = site({ series: rainySeries("f"), dry: 0.01, wet: 0.02, seed: "edge" });
    const c = run(s, over);
    expect(JSON.stringify(c.weather)).not.toMatch(/NaN|Infinity/);
    for (const value of Object.values(c.weather))
      if (typeof value === "number") expect(Number.isFinite(value)).toBe(true);
  });

  test("a year without a fault and ten thousand faults in a day are both answered", () => {
    const s = site({ series: rainySeries("g"), dry: 0.01, wet: 0.02, seed: "many" });
    const quiet = run({ ...s, records: { ...s.records, faults: [] } });
    expect(quiet.weather).toMatchObject({ driver: "not_enough_data", wetEpisodes: 0, dryEpisodes: 0 });
    const day = (START + 200 * 24) * HOUR_MS + 14 * HOUR_MS;
    const storm = Array.from({ length: 10_000 }, (_, i) => ({
      ...(s.records.faults[0] as FaultRow),
      startedAt: day + i * 1000,
      endedAt: day + i * 1000 + 500,
    }));
    const busy = run({ ...s, records: { ...s.records, faults: storm } });
    expect(busy.episodes).toHaveLength(1);
    expect(busy.episodes[0]?.rows).toBe(10_000);
  });

  test("faults logged in the dark are counted and point to the clock", () => {
    const s = site({ series: rainySeries("h"), dry: 0.01, wet: 0.02, seed: "dark" });
    const moved = s.records.faults.map((f) => ({
      ...f,
      startedAt: f.startedAt + 12 * HOUR_MS,
      endedAt: (f.endedAt as number) + 12 * HOUR_MS,
    }));
    const c = run({ ...s, records: { ...s.records, faults: moved } });
    expect(c.counts.episodesInDark as number).toBeGreaterThan(0);
    expect(c.notes.some((n) => n.includes("clock"))).toBe(true);
  });
});

describe("poissonBinomialTail", () => {
  test("is the binomial tail when all chances are equal, and 0 or 1 at the ends", () => {
    for (const k of [1, 4, 9])
      expect(poissonBinomialTail(new Array(12).fill(0.3), k)).toBeCloseTo(1 - binomialCdf(k - 1, 12, 0.3), 12);
    expect(poissonBinomialTail([0.2, 0.4], 0)).toBe(1);
    expect(poissonBinomialTail([0.2, 0.4], 3)).toBe(0);
    expect(poissonBinomialTail([0.2, 0.4], 2)).toBeCloseTo(0.08, 12);
  });
});

describe("residuals", () => {
  test("sum to nearly nothing inside strata, and are nothing where the hour is not compared", () => {
    const hours = 360 * 24;
    const strata = sunHours(START, hours, WHERE).stratum;
    const rng = seededRng("r");
    const on = Uint8Array.from({ length: hours }, () => (rng() < 0.2 ? 1 : rng() < 0.02 ? 255 : 0));
    const counted = Uint8Array.from({ length: hours }, (_, i) => (i % 24 > 6 && i % 24 < 18 ? 1 : 0));
    const r = residuals(on, counted, strata);
    const sum = r.residual.reduce((a, b) => a + b, 0);
    expect(Math.abs(sum)).toBeLessThan(0.01 * counted.reduce((a, b) => a + b, 0));
    on.forEach((code, i) => {
      if (code === 255 || !counted[i]) expect(r.residual[i]).toBe(0);
    });
  });
});

describe("shiftTest", () => {
  test("says nothing without onsets, and a wet excess is significant however the onsets are ordered", () => {
    const s = site({ series: rainySeries("s"), dry: 0.01, wet: 0.01, seed: "s" });
    const on = s.weather.wetness.wet;
    const counted = new Uint8Array(on.length).fill(1);
    const r = residuals(on, counted, sunHours(START, on.length, WHERE).stratum);
    expect(shiftTest([], r)).toMatchObject({ z: null, p: null });
    const wetHours = [...on.keys()].filter((i) => on[i] === 1 && i % 7 === 0).slice(0, 40);
    const test40 = shiftTest(wetHours, r);
    expect(test40.p as number).toBeLessThan(0.01);
    expect(shiftTest([...wetHours].reverse(), r)).toEqual(test40);
    expect(test40.overdispersion).toBeGreaterThanOrEqual(1);
  });
});
