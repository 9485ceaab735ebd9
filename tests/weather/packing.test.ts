import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { HOUR_MS, unknownSeries } from "../../lib/core/weather-series.ts";
import { monthOf, packMonth, unpackMonths } from "../../lib/weather/packing.ts";

describe("monthOf", () => {
  test("the hour that ends at the first midnight of a month is the last of the month before", () => {
    const midnight = Date.UTC(2024, 2, 1) / HOUR_MS;
    expect(monthOf(midnight).month).toBe("2024-02");
    expect(monthOf(midnight + 1)).toEqual({ month: "2024-03", firstHour: midnight + 1, hours: 744 });
    expect(monthOf(Date.UTC(2024, 1, 10) / HOUR_MS).hours).toBe(29 * 24);
  });
});

describe("packMonth", () => {
  test("comes back exactly at the stored resolution, and what was unknown stays unknown", () => {
    const value = (min: number, max: number) =>
      fc.option(fc.integer({ min: min * 100, max: max * 100 }), { nil: null });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(value(0, 300), value(-90, 60), fc.constantFrom(-1, 0, 1)), { minLength: 1, maxLength: 40 }),
        (hours) => {
          const { firstHour } = monthOf(Date.UTC(2025, 5, 10) / HOUR_MS);
          const s = unknownSeries("X", firstHour + 5, hours.length);
          hours.forEach(([p, t, thunder], i) => {
            s.precipitationMm[i] = p === null ? Number.NaN : p / 100;
            s.temperatureC[i] = t === null ? Number.NaN : t / 100;
            s.thunder[i] = thunder;
          });
          const back = unpackMonths("X", [{ month: "2025-06", ...packMonth(s, "2025-06") }]);
          expect(back.hours).toBe(720);
          hours.forEach(([p, t, thunder], i) => {
            const j = i + 5;
            expect(back.precipitationMm[j]).toBe(p === null ? Number.NaN : Math.fround(p / 100));
            expect(back.temperatureC[j]).toBe(t === null ? Number.NaN : Math.fround(t / 100));
            expect(back.thunder[j]).toBe(thunder);
          });
          expect(back.precipitationMm[4]).toBeNaN();
        },
      ),
    );
  });

  test("joins months over a missing one as unknown hours", () => {
    const one = (month: string) => ({ month, ...packMonth(unknownSeries("X", 0, 0), month) });
    const joined = unpackMonths("X", [one("2025-03"), one("2025-01")]);
    expect(joined.hours).toBe((31 + 28 + 31) * 24);
  });

  test("refuses what does not fit and months of the wrong length", () => {
    const { firstHour } = monthOf(Date.UTC(2025, 5, 10) / HOUR_MS);
    const s = unknownSeries("X", firstHour, 1);
    s.precipitationMm[0] = 400;
    expect(() => packMonth(s, "2025-06")).toThrow(RangeError);
    expect(() => unpackMonths("X", [])).toThrow(RangeError);
    expect(() => unpackMonths("X", [{ month: "2025-02", ...packMonth(unknownSeries("X", 0, 0), "2025-03") }])).toThrow(
      RangeError,
    );
  });
});
