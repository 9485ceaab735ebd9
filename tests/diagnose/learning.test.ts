import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import { expit, logit } from "../../lib/core/statistics.ts";
import {
  learnBaseRates,
  offsetFromVisits,
  updateBeta,
  updateGamma,
  type VisitOutcome,
} from "../../lib/diagnose/learning.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";

const rowValue = (table: typeof DEFAULT_PARAMETERS, key: string) =>
  table.rows.find((row) => row.key === key)?.value as number;
const stated = (p: number) => Object.fromEntries(CAUSES.map((cause) => [cause, p])) as Record<Cause, number>;

describe("updateBeta and updateGamma", () => {
  test("agree with the closed forms: 2 and 8 with 3 hits of 10 is 5 and 15; shape 2, rate 100 h with 4 in 300 h is 6 in 400 h", () => {
    expect(updateBeta({ a: 2, b: 8 }, 3, 7)).toEqual({ a: 5, b: 15, mean: 0.25 });
    expect(updateGamma({ shape: 2, rate: 100 }, 4, 300)).toEqual({ shape: 6, rate: 400, mean: 0.015 });
  });
  test("updating twice is updating once with both", () => {
    const once = updateBeta({ a: 1, b: 3 }, 4, 5);
    expect(updateBeta(updateBeta({ a: 1, b: 3 }, 1, 2), 3, 3)).toEqual(once);
  });
});

describe("offsetFromVisits", () => {
  test("visits chosen for looking suspicious teach nothing where each site was stated right", () => {
    const rng = seededRng("chosen");
    const pairs = Array.from({ length: 4000 }, () => {
      const p = 0.3 + 0.6 * rng();
      return { stated: p, found: rng() < p };
    });
    // Counting finds among them would have moved a base rate of 0.06 by more than 2.
    expect(Math.abs(offsetFromVisits(pairs, 0.06, 60))).toBeLessThan(0.12);
  });
  test("recovers how far the statements were off, and a single visit moves little", () => {
    const rng = seededRng("off");
    const pairs = Array.from({ length: 4000 }, () => {
      const p = 0.1 + 0.7 * rng();
      return { stated: p, found: rng() < expit(logit(p) + 0.8) };
    });
    expect(offsetFromVisits(pairs, 0.06, 60)).toBeCloseTo(0.8, 0);
    expect(offsetFromVisits([{ stated: 0.06, found: true }], 0.06, 60)).toBeLessThan(0.3);
    expect(offsetFromVisits([], 0.06, 60)).toBe(0);
  });
});

describe("learnBaseRates", () => {
  const found: VisitOutcome = {
    siteId: "S1",
    found: ["egc_broken"],
    lookedFor: ["egc_broken", "open_section_bond"],
    stated: stated(0.1),
  };
  test("raises what was found, lowers what was looked for and not found, leaves what nobody looked for", () => {
    const table = learnBaseRates(
      DEFAULT_PARAMETERS,
      Array.from({ length: 20 }, () => found),
      "learned-1",
    );
    expect(rowValue(table, "prior.egc_broken")).toBeGreaterThan(rowValue(DEFAULT_PARAMETERS, "prior.egc_broken"));
    expect(rowValue(table, "prior.open_section_bond")).toBeLessThan(
      rowValue(DEFAULT_PARAMETERS, "prior.open_section_bond"),
    );
    expect(rowValue(table, "prior.surge_damage")).toBe(rowValue(DEFAULT_PARAMETERS, "prior.surge_damage"));
  });
  test("makes a new version, keeps the old one as it was, and refuses to reuse a version", () => {
    const before = structuredClone(DEFAULT_PARAMETERS);
    expect(learnBaseRates(DEFAULT_PARAMETERS, [found], "learned-1").version).toBe("learned-1");
    expect(DEFAULT_PARAMETERS).toEqual(before);
    expect(() => learnBaseRates(DEFAULT_PARAMETERS, [found], DEFAULT_PARAMETERS.version)).toThrow(RangeError);
  });
});
