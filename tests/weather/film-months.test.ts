import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { HOUR_MS, unknownSeries, type WeatherSeries } from "../../lib/core/weather-series.ts";
import { extendFilms, type FilmMonth, type Fingerprint } from "../../lib/weather/film-months.ts";
import { hourStates, wetness } from "../../lib/weather/wetness.ts";

const WHERE = { latitude: 41, longitude: -93 };
const MARCH = Date.UTC(2025, 2, 1) / HOUR_MS + 1;
const MONTH_HOURS = [31 * 24, 30 * 24, 31 * 24, 30 * 24];

const fingerprint: Fingerprint = (heading, parts) => {
  const hash = createHash("sha256").update(heading);
  for (const part of parts) hash.update(part);
  return hash.digest("hex");
};

/** Whole months from March 2025 on, of weather at the resolution that is stored; about one value in thirty is missing. */
function weather(months: number, seed: number): WeatherSeries {
  const hours = MONTH_HOURS.slice(0, months).reduce((a, b) => a + b, 0);
  const s = unknownSeries("X", MARCH, hours);
  let x = seed + 1;
  const next = () => {
    x = (x * 48_271) % 2_147_483_647;
    return x / 2_147_483_647;
  };
  const value = (v: number) => (next() < 0.03 ? Number.NaN : Math.round(v * 100) / 100);
  for (let i = 0; i < hours; i++) {
    s.precipitationMm[i] = value(next() < 0.07 ? next() * 4 : 0);
    s.temperatureC[i] = value(-4 + 20 * next());
    s.dewPointC[i] = value(-6 + 16 * next());
    s.windMs[i] = value(6 * next());
    s.thunder[i] = next() < 0.01 ? 1 : next() < 0.5 ? 0 : -1;
  }
  return s;
}

const byMonth = (months: readonly FilmMonth[]) => new Map(months.map((m) => [m.month, m]));

describe("extendFilms", () => {
  test("month by month gives what one pass over the whole series gives, however much was kept", () => {
    fc.assert(
      fc.property(fc.nat(1e6), fc.integer({ min: 1, max: 4 }), fc.integer({ min: 1, max: 4 }), (seed, first, all) => {
        const whole = weather(Math.max(first, all), seed);
        const { made } = extendFilms(weather(Math.min(first, all), seed), WHERE, new Map(), fingerprint);
        const { films } = extendFilms(whole, WHERE, byMonth(made), fingerprint);
        expect(hourStates(whole, films, WHERE)).toEqual(wetness(whole, WHERE).wetness);
      }),
      { numRuns: 20 },
    );
  });

  test("a new month alone is computed when a month is added", () => {
    const { made } = extendFilms(weather(3, 7), WHERE, new Map(), fingerprint);
    const added = extendFilms(weather(4, 7), WHERE, byMonth(made), fingerprint);
    expect(made.map((m) => m.month)).toEqual(["2025-03", "2025-04", "2025-05"]);
    expect(added.made.map((m) => m.month)).toEqual(["2025-06"]);
  });

  test("a corrected hour is never served from films kept before it, and the months behind it only as far as it reaches", () => {
    fc.assert(
      fc.property(fc.nat(1e6), fc.nat(MONTH_HOURS[0] as number), (seed, hour) => {
        const { made } = extendFilms(weather(4, seed), WHERE, new Map(), fingerprint);
        const corrected = weather(4, seed);
        corrected.precipitationMm[hour] = 9.5;
        const again = extendFilms(corrected, WHERE, byMonth(made), fingerprint);
        expect(hourStates(corrected, again.films, WHERE)).toEqual(wetness(corrected, WHERE).wetness);
        // Water of one shower is gone within a month, so the month after next starts as it did before.
        expect(again.made.length).toBeLessThanOrEqual(2);
      }),
      { numRuns: 20 },
    );
  });

  test("films of another place are not used", () => {
    const { made } = extendFilms(weather(2, 3), WHERE, new Map(), fingerprint);
    const north = { latitude: 60, longitude: -93 };
    const { films } = extendFilms(weather(2, 3), north, byMonth(made), fingerprint);
    expect(hourStates(weather(2, 3), films, north)).toEqual(wetness(weather(2, 3), north).wetness);
  });

  test("a series that begins within a month is refused", () => {
    const s = { ...weather(1, 1), firstHour: MARCH + 5 };
    expect(() => extendFilms(s, WHERE, new Map(), fingerprint)).toThrow(RangeError);
  });
});
