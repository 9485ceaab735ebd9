import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { PACKED_STRIP, packStrip, type StripDays, unpackStrip } from "../../lib/core/packed-strip.ts";

const DAYS = 365;
const day = fc.oneof(
  { weight: 6, arbitrary: fc.constant([0, 0] as const) },
  { weight: 3, arbitrary: fc.tuple(fc.constant(0), fc.integer({ min: 1, max: 25 })) },
  // To the greatest daily rainfall on record, 1,825 mm (La Réunion, January 1966; World Meteorological Organization, from memory).
  { weight: 3, arbitrary: fc.tuple(fc.integer({ min: 1, max: 18_250 }), fc.integer({ min: 0, max: 25 })) },
  { weight: 1, arbitrary: fc.constant(null) },
);
const strip = fc
  .tuple(
    fc.array(day, { minLength: DAYS, maxLength: DAYS }),
    fc.array(fc.oneof({ weight: 5, arbitrary: fc.constant(0) }, fc.integer({ min: 0, max: 400 })), {
      minLength: DAYS,
      maxLength: DAYS,
    }),
  )
  .map(
    ([days, onsets]): StripDays => ({
      endDay: "2026-10-31",
      rainMm: days.map((d) => (d === null ? null : d[0] / 10)),
      dewHours: days.map((d) => (d === null ? null : d[1])),
      onsets,
    }),
  );

describe("packed strips", () => {
  test("every strip comes back as it was, and is told from what is none", () => {
    fc.assert(
      fc.property(strip, (one) => {
        const packed = packStrip(one);
        expect(unpackStrip(packed)).toEqual(one);
        expect(packed).toMatch(PACKED_STRIP);
      }),
      { numRuns: 200 },
    );
    expect("{}").not.toMatch(PACKED_STRIP);
    expect(unpackStrip("{}").rainMm).toEqual([]);
  });

  test("reads as it is written down", () => {
    const one: StripDays = {
      endDay: "2026-10-31",
      rainMm: [0, 0, 12.3, 0.1, 0, null, 0],
      dewHours: [0, 0, 0, 2, 5, null, 0],
      onsets: [0, 1, 0, 0, 0, 30, 0],
    };
    expect(packStrip(one)).toBe("2026-10-31|b123@1BE?a|aAc30!a");
  });

  test("a year of usual weather is under a fourth of its arrays", () => {
    const rain = Array.from({ length: DAYS }, (_, d) => (d % 4 === 0 ? ((d * 7) % 211) / 10 : 0));
    const one: StripDays = {
      endDay: "2026-10-31",
      rainMm: rain,
      dewHours: rain.map((_, d) => (d % 3 === 0 ? d % 9 : 0)),
      onsets: rain.map((_, d) => (d % 40 === 0 ? 1 : 0)),
    };
    expect(packStrip(one).length).toBeLessThan(JSON.stringify(one).length / 4);
  });
});
