import { describe, expect, test } from "vitest";
import { benjaminiHochberg } from "../../lib/correlate/benjamini-hochberg.ts";
import { rateRatio } from "../../lib/correlate/rate-ratio.ts";

describe("rateRatio", () => {
  test("meets R's help page of poisson.test: lung cancer in Fredericia against three cities (eba1977)", () => {
    const r = rateRatio({ events: 11, unitHours: 800 }, { events: 21, unitHours: 1083 + 1050 + 878 });
    expect(r.ratio).toBeCloseTo(1.971488, 6);
    expect(r.lower).toBeCloseTo(0.8584264, 6);
    expect(r.upper).toBeCloseTo(4.2772659, 6);
    expect(r.pTwoSided).toBeCloseTo(0.0796686, 6);
    // Computed beside it with scipy.
    expect(r.pGreater).toBeCloseTo(0.0560087, 6);
    expect(r.pMid).toBeCloseTo(0.0400384, 6);
  });

  test("does not double a tail: that would give 0.112 where R gives 0.0797", () => {
    const r = rateRatio({ events: 11, unitHours: 800 }, { events: 21, unitHours: 3011 });
    expect(Math.abs(r.pTwoSided - 0.112)).toBeGreaterThan(0.03);
  });

  test("meets example 1 of Gu, Ng, Tang and Schucany 2008, as held in the tests of statsmodels", () => {
    const r = rateRatio({ events: 60, unitHours: 51477.5 }, { events: 30, unitHours: 54308.7 });
    expect(r.pGreater).toBeCloseTo(0.000428, 6);
    expect(r.pMid).toBeCloseTo(0.00031, 5);
    expect(r.ratio).toBeCloseTo(2.109998, 5);
    expect(r.lower).toBeCloseTo(1.339736, 5);
    expect(r.upper).toBeCloseTo(3.388366, 5);
  });

  test("meets example 2 of the same paper with a ratio of 1.5 under the null, within its printed precision", () => {
    const r = rateRatio({ events: 41, unitHours: 28010 }, { events: 15, unitHours: 19017 }, 0.95, 1.5);
    expect(Math.abs(r.pGreater - 0.2913)).toBeLessThan(5e-4);
    expect(Math.abs(r.pMid - 0.245)).toBeLessThan(5e-4);
  });

  test("has no upper limit without events in the second group, and refuses no exposure", () => {
    const r = rateRatio({ events: 4, unitHours: 10 }, { events: 0, unitHours: 10 });
    expect([r.ratio, r.upper]).toEqual([null, null]);
    expect(() => rateRatio({ events: 1, unitHours: 0 }, { events: 1, unitHours: 1 })).toThrow(RangeError);
  });
});

describe("benjaminiHochberg", () => {
  // Benjamini and Hochberg 1995, section 3.2: fifteen p-values of a thrombolysis trial, as in ten public copies.
  const P = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1,
  ];

  test("finds four at 5 %, as the paper does", () => {
    expect(benjaminiHochberg(P).filter((q) => q <= 0.05)).toHaveLength(4);
  });

  test("adjusts monotonically: the seventh pulls the sixth down to 0.063857", () => {
    const q = benjaminiHochberg(P);
    const expected = [
      0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.063857, 0.063857, 0.0645, 0.0765, 0.486, 0.581182, 0.714875, 0.753231,
      0.813214, 1,
    ];
    q.forEach((value, i) => {
      expect(value).toBeCloseTo(expected[i] as number, 6);
    });
  });

  test("does not depend on the order", () => {
    const reversed = benjaminiHochberg([...P].reverse()).reverse();
    expect(reversed).toEqual(benjaminiHochberg(P));
    expect(benjaminiHochberg([])).toEqual([]);
  });
});
