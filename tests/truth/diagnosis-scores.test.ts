import { describe, expect, test } from "vitest";
import { brierDecomposition, brierScore, calibrationLine, type Judged } from "../../lib/diagnose/calibration.ts";
import { diagnose } from "../../lib/diagnose/diagnose.ts";
import { fleetRates } from "../../lib/diagnose/fleet-rates.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import {
  AS_OF,
  sampleCorrelation,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleSection,
} from "../support/sample-site.ts";

/** Forecasts all alike that met `found` events among `n`. */
const group = (p: number, n: number, found: number): Judged[] =>
  Array.from({ length: n }, (_, i) => ({ p, found: i < found }));

describe("diagnose against a published worked example", () => {
  // Eddy 1982, Probabilistic reasoning in clinical medicine: 1 % have it, the test finds 80 % of them and fails 9.6 %
  // of the others, so 7.76 % of those who fail have it. Inputs from memory, high confidence; result computed from them.
  // The table's chance of finding a cause is over and above a false alarm: 1 - (1 - 0.096)(1 - finds) = 0.8.
  const finds = 1 - 0.2 / 0.904;
  const table = {
    version: "eddy",
    rows: DEFAULT_PARAMETERS.rows.map((row) => {
      if (row.key === "prior.egc_broken") return { ...row, value: 0.01 };
      if (row.key.startsWith("prior.")) return { ...row, value: 1e-12 };
      if (row.key === "check.egc_continuous.egc_broken") return { ...row, value: finds };
      if (row.key === "check.egc_continuous.falsePositive") return { ...row, value: 0.096 };
      return row.key.startsWith("attribute.") ? { ...row, value: 0 } : row;
    }),
  };
  // Nothing about sizes recorded and no log, so that the check is the only evidence.
  const bare = {
    inverters: [sampleInverter({ egcAwg: null })],
    sections: [sampleSection({ egcAwg: null })],
  };
  const correlation = sampleCorrelation({ window: null });
  const after = (outcome: "fail" | "pass") =>
    diagnose(
      {
        records: sampleRecords({ ...bare, inspections: [sampleInspection({ check: "egc_continuous", outcome })] }),
        correlation,
        asOf: AS_OF,
      },
      table,
      { draws: 0 },
    ).bondingDefect.p;
  test("a failed check of 80 % and 9.6 % takes 1 % to 7.76 %", () => {
    expect(after("fail")).toBeCloseTo(0.0776398, 6);
  });
  test("a pass takes it down by the negative likelihood ratio 0.2/0.904 = 0.221239", () => {
    const odds = (0.01 / 0.99) * 0.221239;
    expect(after("pass")).toBeCloseTo(odds / (1 + odds), 6);
  });
});

describe("brierScore and brierDecomposition", () => {
  test("by definition: 0.7 that comes true scores 0.09, one that does not 0.49", () => {
    expect(brierScore([{ p: 0.7, found: true }])).toBeCloseTo(0.09, 12);
    expect(brierScore([{ p: 0.7, found: false }])).toBeCloseTo(0.49, 12);
  });
  test("three groups of ten, computed by Murphy's formula: 0.1433333 = 0.0033333 - 0.1088889 + 0.2488889", () => {
    const parts = brierDecomposition([...group(0.1, 10, 1), ...group(0.5, 10, 4), ...group(0.9, 10, 9)]);
    expect(parts.brier).toBeCloseTo(0.1433333, 7);
    expect(parts.reliability).toBeCloseTo(0.0033333, 7);
    expect(parts.resolution).toBeCloseTo(0.1088889, 7);
    expect(parts.uncertainty).toBeCloseTo(0.2488889, 7);
  });
  test("Finley 1884, tornadoes (28 hits, 72 false alarms, 23 misses, 2680 rightly none): never forecasting one scores better", () => {
    // Yes-or-no forecasts: the Brier score is the share that was wrong, 1 - 0.966108; always "no" is right in 98.2 %.
    const finley = [...group(1, 100, 28), ...group(0, 2703, 23)];
    expect(brierScore(finley)).toBeCloseTo(1 - 0.966108, 6);
    expect(brierScore(group(0, 2803, 51))).toBeCloseTo(51 / 2803, 12);
    expect(brierScore(group(0, 2803, 51))).toBeLessThan(brierScore(finley));
    // And yet the forecasts carry information that accuracy hides: odds ratio 45.3140.
    const smoothed = finley.map(({ p, found }) => ({ p: p === 1 ? 0.75 : 0.25, found }));
    const line = calibrationLine(smoothed);
    expect(Math.exp((line?.slope as number) * 2 * Math.log(3))).toBeCloseTo(45.314, 3);
  });
});

describe("fleetRates on the pump example, BUGS Examples volume 1", () => {
  const failures = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22];
  const thousandHours = [94.3, 15.7, 62.9, 126, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5];
  // Posterior means and deviations by two-dimensional quadrature, computed outside this project; within 1 to 2 % of
  // the published sampler output (0.06016, 0.10095, ... ) whose own error is larger.
  const means = [0.05982, 0.10183, 0.08924, 0.11579, 0.60134, 0.60939, 0.89254, 0.89254, 1.58631, 1.98983];
  const sds = [0.0252, 0.07945, 0.03758, 0.03026, 0.31601, 0.13753, 0.72442, 0.72442, 0.76952, 0.42499];
  const got = fleetRates(failures, thousandHours);
  test("means and deviations of every pump agree within 1 %", () => {
    expect(got.sites).toHaveLength(10);
    got.sites.forEach(({ mean, sd }, i) => {
      expect(Math.abs(mean / (means[i] as number) - 1)).toBeLessThan(0.01);
      expect(Math.abs(sd / (sds[i] as number) - 1)).toBeLessThan(0.01);
    });
  });
  test("the fleet's shape and rate agree within 1 %", () => {
    expect(Math.abs(got.shape / 0.69717 - 1)).toBeLessThan(0.01);
    expect(Math.abs(got.rate / 0.92681 - 1)).toBeLessThan(0.01);
  });
  test("two pumps with the same record get the same rate", () => {
    expect(got.sites[6]).toEqual(got.sites[7]);
  });
});
