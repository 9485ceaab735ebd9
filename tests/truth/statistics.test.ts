import { describe, expect, test } from "vitest";
import { distanceKm } from "../../lib/core/earth.ts";
import {
  betaCdf,
  binomialCdf,
  gammaQuantile,
  logSumExp,
  normalQuantile,
  sampleQuantile,
} from "../../lib/core/statistics.ts";

describe("gammaQuantile", () => {
  // Garwood 1936, exact 95 % limits of a Poisson mean; the standard table, recomputed with scipy.
  test.each([
    [0, 0, 3.6889],
    [1, 0.0253, 5.5716],
    [2, 0.2422, 7.2247],
    [3, 0.6187, 8.7673],
    [5, 1.6235, 11.6683],
    [10, 4.7954, 18.3904],
    [20, 12.2165, 30.8884],
  ])("gives Garwood's limits for %i events", (count, low, high) => {
    expect(count === 0 ? 0 : gammaQuantile(0.025, count, 1)).toBeCloseTo(low, 3);
    expect(gammaQuantile(0.975, count + 1, 1)).toBeCloseTo(high, 3);
  });
});

describe("betaCdf and binomialCdf", () => {
  test("agree through the identity P(K <= k) = 1 - I_p(k + 1, n - k) (Abramowitz and Stegun 26.5.24, from memory)", () => {
    for (const [k, n, p] of [
      [3, 10, 0.4],
      [0, 5, 0.1],
      [17, 20, 0.9],
    ] as const) {
      expect(binomialCdf(k, n, p)).toBeCloseTo(1 - betaCdf(p, k + 1, n - k), 10);
    }
  });
});

describe("normalQuantile", () => {
  test("gives the two-sided 95 % point 1.959964 of the standard table", () => {
    expect(normalQuantile(0.975)).toBeCloseTo(1.959964, 6);
  });
});

describe("sampleQuantile", () => {
  test("interpolates by type 7 of Hyndman and Fan 1996: quantile(1:10, 0.25) is 3.25 as in R", () => {
    expect(sampleQuantile([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], 0.25)).toBe(3.25);
    expect(() => sampleQuantile([], 0.5)).toThrow(RangeError);
  });
});

describe("logSumExp", () => {
  test("does not overflow, and an empty sum is nothing", () => {
    expect(logSumExp([1000, 1000])).toBeCloseTo(1000 + Math.LN2, 12);
    expect(logSumExp([])).toBe(Number.NEGATIVE_INFINITY);
  });
});

describe("distanceKm", () => {
  test("a quarter of a meridian is a quarter of the circumference of the sphere", () => {
    expect(distanceKm({ latitude: 0, longitude: 0 }, { latitude: 90, longitude: 0 })).toBeCloseTo(
      (Math.PI / 2) * 6371.0088,
      6,
    );
    expect(distanceKm({ latitude: 12, longitude: 179.9 }, { latitude: 12, longitude: -179.9 })).toBeLessThan(22);
  });
});
