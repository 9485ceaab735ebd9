import { describe, expect, test } from "vitest";
import { computedInspection } from "../../lib/core/computed-inspection.ts";
import { CHECKS } from "../../lib/core/records.ts";
import { diagnose } from "../../lib/diagnose/diagnose.ts";
import { expectedInformation, nextTests, withInspection } from "../../lib/diagnose/expected-information.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import { AS_OF, sampleCorrelation, sampleRecords, sampleSection } from "../support/sample-site.ts";

const input = (over = {}) => ({
  records: sampleRecords(over),
  correlation: sampleCorrelation({ window: null }),
  asOf: AS_OF,
});
const unbonded = () =>
  input({ sections: ["A", "B"].map((sectionId) => sampleSection({ sectionId, bondedTo: null, bondMethod: null })) });

describe("expectedInformation", () => {
  test("today's probability lies between those after either outcome, and no check takes information away", () => {
    for (const check of CHECKS) {
      const told = expectedInformation({ check, sectionId: null, inverterId: null }, unbonded(), DEFAULT_PARAMETERS);
      // A clean finding of another cause may raise the bond a little: then a failing one lowers it.
      expect(Math.min(told.ifPasses, told.ifFails)).toBeLessThanOrEqual(told.now + 1e-12);
      expect(Math.max(told.ifPasses, told.ifFails)).toBeGreaterThanOrEqual(told.now - 1e-12);
      expect(told.bits).toBeGreaterThanOrEqual(0);
      expect(told.failProbability).toBeGreaterThanOrEqual(0);
      expect(told.failProbability).toBeLessThanOrEqual(1);
    }
  });
  test("a check of a coin-flip cause with a nearly perfect check tells nearly one bit, computed from the two error rates", () => {
    const rows = DEFAULT_PARAMETERS.rows.map((row) => {
      if (row.key === "prior.egc_broken") return { ...row, value: 0.5 };
      if (row.key.startsWith("prior.")) return { ...row, value: 1e-9 };
      if (row.key === "check.egc_continuous.egc_broken") return { ...row, value: 0.99 };
      if (row.key === "check.egc_continuous.falsePositive") return { ...row, value: 0.01 };
      return row.key.startsWith("attribute.") ? { ...row, value: 0 } : row;
    });
    const told = expectedInformation({ check: "egc_continuous", sectionId: null, inverterId: null }, unbonded(), {
      version: "coin",
      rows,
    });
    // Fails with 1 - 0.99 x 0.01 = 0.9901 where broken and 0.01 where not: a channel with these two rates, input 1/2.
    const h = (p: number) => -(p * Math.log2(p) + (1 - p) * Math.log2(1 - p));
    const fail = (0.9901 + 0.01) / 2;
    expect(told.failProbability).toBeCloseTo(fail, 5);
    expect(told.bits).toBeCloseTo(h(fail) - (h(0.9901) + h(0.01)) / 2, 5);
  });
  test("the belief after either outcome is that of a whole diagnosis with the row in the records", () => {
    const siteId = "S1";
    const said = (check: (typeof CHECKS)[number], outcome: "fail" | "pass", at: number, sectionId: string | null) =>
      computedInspection({ siteId, check, sectionId, inverterId: null, outcome }, at);
    const before = unbonded();
    // Repeated, at the same place and at another, and two at the very instant that the new one is made.
    before.records.inspections = [
      said("section_jumper", "fail", AS_OF - 9e9, "A"),
      said("section_jumper", "pass", AS_OF - 8e9, "A"),
      said("conductor_condition", "fail", AS_OF, "B"),
      said("electrode_bonded", "pass", AS_OF, null),
    ];
    for (const check of ["section_jumper", "conductor_condition", "electrode_bonded", "enclosure_dry"] as const)
      for (const sectionId of ["A", "B", null]) {
        const told = expectedInformation({ check, sectionId, inverterId: null }, before, DEFAULT_PARAMETERS);
        const whole = (outcome: "fail" | "pass") =>
          diagnose(withInspection(before, said(check, outcome, AS_OF, sectionId)), DEFAULT_PARAMETERS, { draws: 0 })
            .bondingDefect.p;
        expect(told.ifFails).toBeCloseTo(whole("fail"), 12);
        expect(told.ifPasses).toBeCloseTo(whole("pass"), 12);
      }
  });
  test("changes nothing in the records it is given", () => {
    const before = unbonded();
    expectedInformation({ check: "bond_resistance", sectionId: "A", inverterId: null }, before, DEFAULT_PARAMETERS);
    expect(before.records.inspections).toEqual([]);
  });
});

describe("nextTests", () => {
  test("for two sections whose bond nobody recorded, the first test is of a bond", () => {
    const tests = nextTests(unbonded(), DEFAULT_PARAMETERS);
    expect(["bond_resistance", "section_jumper", "all_metal_bonded", "section_potential"]).toContain(tests[0]?.check);
    expect(tests.map(({ bits }) => bits)).toEqual(tests.map(({ bits }) => bits).toSorted((a, b) => b - a));
  });
  test("offers each check once and no battery check where there is no battery", () => {
    const checks = nextTests(unbonded(), DEFAULT_PARAMETERS, 50).map(({ check }) => check);
    expect(new Set(checks).size).toBe(checks.length);
    expect(checks).not.toContain("battery_electrode");
  });
});
