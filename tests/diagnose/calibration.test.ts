import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { expit } from "../../lib/core/statistics.ts";
import {
  auc,
  brierDecomposition,
  brierScore,
  calibrationLine,
  type Judged,
  logScore,
  reliabilityBins,
  wilsonInterval,
} from "../../lib/diagnose/calibration.ts";
import { calibrationWatch, FEWEST_OF_EACH } from "../../lib/diagnose/calibration-watch.ts";

const judgedLists = fc.array(
  fc.record({ p: fc.integer({ min: 0, max: 10 }).map((k) => k / 10), found: fc.boolean() }),
  { minLength: 1, maxLength: 60 },
);

/** Outcomes drawn so that the true log odds are slope times the stated ones. */
function drawn(n: number, slope: number, seed: string): Judged[] {
  const rng = seededRng(seed);
  return Array.from({ length: n }, () => {
    const logOdds = 5 * (rng() - 0.5);
    return { p: expit(logOdds), found: rng() < expit(slope * logOdds) };
  });
}

describe("brierDecomposition", () => {
  test("reliability - resolution + uncertainty is the score, whatever was stated and found", () => {
    fc.assert(
      fc.property(judgedLists, (judged) => {
        const { brier, reliability, resolution, uncertainty } = brierDecomposition(judged);
        expect(reliability - resolution + uncertainty).toBeCloseTo(brier, 12);
      }),
    );
  });
});

describe("auc", () => {
  test("equals the share of pairs in the right order, ties half, counted one by one", () => {
    fc.assert(
      fc.property(judgedLists, (judged) => {
        const yes = judged.filter((each) => each.found);
        const no = judged.filter((each) => !each.found);
        if (yes.length === 0 || no.length === 0) {
          expect(auc(judged)).toBeNull();
          return;
        }
        let right = 0;
        for (const a of yes) for (const b of no) right += a.p > b.p ? 1 : a.p === b.p ? 0.5 : 0;
        expect(auc(judged)).toBeCloseTo(right / (yes.length * no.length), 12);
      }),
    );
  });
});

describe("brierScore and logScore", () => {
  test("refuse an empty list and a number that is no probability", () => {
    expect(() => brierScore([])).toThrow(RangeError);
    expect(() => logScore([{ p: 1.2, found: true }])).toThrow(RangeError);
  });
  test("a certain statement that turned out wrong costs much and not infinitely", () => {
    expect(logScore([{ p: 0, found: true }])).toBeCloseTo(12 * Math.LN10, 9);
  });
});

describe("wilsonInterval", () => {
  test("no trials say nothing; no hits still leave room above", () => {
    expect(wilsonInterval(0, 0)).toEqual({ low: 0, high: 1 });
    const none = wilsonInterval(0, 10);
    expect(none.low).toBe(0);
    // z^2 / (n + z^2) with z = 1.959964, from Wilson's formula at zero hits.
    expect(none.high).toBeCloseTo(3.841459 / 13.841459, 6);
  });
});

describe("reliabilityBins", () => {
  test("hold every outcome once, also those stated at 0 and 1, and leave empty bins without a number", () => {
    const bins = reliabilityBins([
      { p: 0, found: false },
      { p: 1, found: true },
      { p: 0.55, found: true },
    ]);
    expect(bins).toHaveLength(10);
    expect(bins.reduce((sum, bin) => sum + bin.trials, 0)).toBe(3);
    expect(bins[9]?.trials).toBe(1);
    expect(bins[3]).toMatchObject({ stated: null, found: null, agrees: null });
  });
});

describe("calibrationLine", () => {
  test("finds the slope that the outcomes were drawn with, within three of its standard errors", () => {
    for (const slope of [0.5, 1, 1.8]) {
      const line = calibrationLine(drawn(4000, slope, `line ${slope}`));
      expect(line).not.toBeNull();
      if (line) expect(Math.abs(line.slope - slope)).toBeLessThan(3 * line.slopeSd);
    }
  });
  test("gives no line where outcomes are all alike or fully separated", () => {
    expect(
      calibrationLine([
        { p: 0.2, found: true },
        { p: 0.7, found: true },
      ]),
    ).toBeNull();
    expect(
      calibrationLine([
        { p: 0.2, found: false },
        { p: 0.3, found: false },
        { p: 0.7, found: true },
        { p: 0.8, found: true },
      ]),
    ).toBeNull();
  });
});

describe("calibrationWatch", () => {
  test("a fleet too young says how many outcomes it lacks of each kind", () => {
    const watch = calibrationWatch([
      { p: 0.4, found: true },
      { p: 0.2, found: false },
      { p: 0.2, found: false },
    ]);
    expect(watch).toMatchObject({
      kind: "too_few",
      neededFound: FEWEST_OF_EACH - 1,
      neededNotFound: FEWEST_OF_EACH - 2,
    });
  });
  test("rings for bold statements, not for calibrated ones", () => {
    expect(calibrationWatch(drawn(600, 0.5, "bold"))).toMatchObject({ kind: "judged", alarm: true });
    expect(calibrationWatch(drawn(600, 1, "right"))).toMatchObject({ kind: "judged", alarm: false });
  });
});
