import { describe, expect, test } from "vitest";
import { decibans, logit } from "../../lib/core/statistics.ts";
import { nextTests, wouldChangeMost } from "../../lib/diagnose/expected-information.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import { AS_OF, check, correlation, many, run, twoSections } from "../support/diagnosis-cases.ts";
import { sampleCorrelation, sampleInverter, sampleRecords, sampleSection } from "../support/sample-site.ts";

const rain = () =>
  correlation(many(10, "rain", { inverterIds: ["I1", "I2"], clearedOnDrying: true, hoursSinceRain: 0 }));
const mixed = () => ({
  ...twoSections(),
  inspections: [
    check("section_jumper", "fail", { sectionId: "A" }),
    check("egc_continuous", "pass", { inverterId: "I1" }),
    check("bare_metal_contact", "pass", { sectionId: "A" }),
  ],
});

describe("diagnose, leave-one-out", () => {
  test("leaving an item out is the same as the site never having had it", () => {
    const records = mixed();
    const full = run(records, rain());
    const jumper = full.evidence.find((e) => e.says.includes("Section jumper"));
    const without = run({ ...records, inspections: records.inspections.slice(1) }, rain());
    const change = decibans(logit(full.bondingDefect.p) - logit(without.bondingDefect.p));
    expect(jumper?.withoutDecibans).toBeCloseTo(change, 6);
  });

  test("leaving the attributes out leaves the base rates to speak", () => {
    // No size recorded and no log: prior and attributes are all there is.
    const bare = sampleRecords({
      inverters: [sampleInverter({ egcAwg: null })],
      sections: [sampleSection({ egcAwg: null })],
    });
    const { evidence } = run(bare, sampleCorrelation({ window: null }));
    expect(evidence.map((e) => e.source)).toEqual(["prior", "attributes"]);
    expect(evidence[0]?.withoutDecibans).toBeUndefined();
    expect(Number.isFinite(evidence[1]?.withoutDecibans)).toBe(true);
  });

  test("the strongest reason for and the strongest against are both named", () => {
    const passed = {
      ...twoSections(),
      inspections: ["A", "B"].map((sectionId) => check("section_jumper", "pass", { sectionId })),
    };
    const { strongest, evidence } = run(passed, rain());
    expect(strongest?.for?.withoutDecibans).toBeGreaterThan(0);
    expect(strongest?.against?.withoutDecibans).toBeLessThan(0);
    for (const e of evidence) {
      expect(e.withoutDecibans ?? 0).toBeLessThanOrEqual(strongest?.for?.withoutDecibans as number);
      expect(e.withoutDecibans ?? 0).toBeGreaterThanOrEqual(strongest?.against?.withoutDecibans as number);
    }
  });
});

describe("wouldChangeMost", () => {
  test("names the check that tells most and how far either outcome moves the odds, no probability bare", () => {
    const tests = nextTests({ records: twoSections(), correlation: rain(), asOf: AS_OF }, DEFAULT_PARAMETERS);
    const says = wouldChangeMost(tests);
    expect(says).toContain((tests[0]?.check ?? "").replaceAll("_", " "));
    const odds = (p = 0) => 10 * Math.log10(p / (1 - p));
    expect(says).toContain(`adds ${(odds(tests[0]?.ifFails) - odds(tests[0]?.now)).toFixed(1)} decibans`);
    expect(says).not.toContain("%");
  });
  test("says nothing where nothing would tell", () => {
    expect(wouldChangeMost([])).toBeNull();
  });
});
