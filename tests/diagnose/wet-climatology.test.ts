import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { HOUR_MS } from "../../lib/core/weather-series.ts";
import { expectedWetDate, wetShareByMonth } from "../../lib/diagnose/wet-climatology.ts";

const YEAR = { first: Date.UTC(2025, 0, 1) / HOUR_MS + 1, hours: 8760 };
function year(wetAt: (month: number, hour: number) => number) {
  const wet = new Uint8Array(YEAR.hours);
  for (let i = 0; i < YEAR.hours; i++) wet[i] = wetAt(new Date((YEAR.first + i - 1) * HOUR_MS).getUTCMonth(), i);
  const none = new Float32Array(YEAR.hours);
  return {
    firstHour: YEAR.first,
    hours: YEAR.hours,
    rainFilmMm: none,
    dewFilmMm: none,
    state: new Uint8Array(YEAR.hours),
    wet,
  };
}

describe("wetShareByMonth", () => {
  test("counts wet over known hours of each month; a month hardly observed is unknown, not dry", () => {
    const { share } = wetShareByMonth(year((month, i) => (month === 6 ? 255 : month < 3 ? i % 2 : 0)));
    expect(share.slice(0, 3)).toEqual([0.5, 0.5, 0.5]);
    expect(share[3]).toBe(0);
    expect(share[6]).toBeNaN();
  });
});

describe("expectedWetDate", () => {
  const even = { share: new Array<number>(12).fill(0.1) };
  test("at a tenth of the hours wet, 72 unit-hours of one unit take thirty days", () => {
    const from = Date.UTC(2026, 3, 10);
    expect(expectedWetDate(72, from, even, 1)).toBeCloseTo(from + 30 * 24 * HOUR_MS, -3);
    expect(expectedWetDate(0, from, even, 1)).toBe(from);
  });
  test("waits through a dry season, and gives no date through an unknown month or past ten years", () => {
    const summerDry = { share: even.share.map((s, m) => (m >= 5 && m <= 8 ? 0 : s)) };
    expect(expectedWetDate(1, Date.UTC(2026, 5, 1), summerDry, 1)).toBe(Date.UTC(2026, 9, 1) + 10 * HOUR_MS);
    const unknown = { share: even.share.map((s, m) => (m === 5 ? Number.NaN : s)) };
    expect(expectedWetDate(1, Date.UTC(2026, 5, 1), unknown, 1)).toBeNull();
    expect(expectedWetDate(1, Date.UTC(2026, 5, 1), { share: new Array<number>(12).fill(0) }, 1)).toBeNull();
  });
  test("property: more hours never come sooner", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.01, max: 0.5, noNaN: true }), { minLength: 12, maxLength: 12 }),
        fc.nat(500),
        fc.nat(500),
        (share, a, b) => {
          const date = (hours: number) =>
            expectedWetDate(hours, Date.UTC(2026, 1, 1), { share }, 1) ?? Number.POSITIVE_INFINITY;
          expect(date(Math.min(a, b))).toBeLessThanOrEqual(date(Math.max(a, b)));
        },
      ),
    );
  });
});
