import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Inspection } from "../../lib/core/records.ts";
import { judgeReading, type ReadingContext } from "../../lib/visit/reading-judgement.ts";
import { atTime, onDay, sampleInspection } from "../support/sample-site.ts";

const context = (over: Partial<ReadingContext> = {}): ReadingContext => ({
  others: [],
  maxDcV: 600,
  electrode: "rod",
  ...over,
});
const points = { pointA: "section:A", pointB: "ground_bus" } as const;
const volts = (value: string, over: Partial<Inspection> = {}) =>
  sampleInspection({
    check: "section_potential",
    unit: "volt",
    quantity: "ac_rms",
    meterImpedance: "high",
    value,
    ...points,
    ...over,
  });
const ohms = (value: string, over: Partial<Inspection> = {}) =>
  sampleInspection({
    check: "bond_resistance",
    unit: "ohm",
    method: "four_wire",
    value,
    inspectedAt: atTime("2024-05-01T15:10:00Z"),
    ...points,
    ...over,
  });
const quiet = volts("0.2");
const verdict = (row: Inspection, over: Partial<ReadingContext> = {}) => judgeReading(row, context(over)).verdict;

describe("judgeReading of a potential", () => {
  test.each([
    ["15", "ac_rms", "stop"],
    ["14.9", "ac_rms", "watch"],
    ["30", "dc", "stop"],
    ["-30", "dc", "stop"],
    ["29.9", "dc", "watch"],
    ["15", null, "stop"],
    ["14.9", null, "watch"],
    ["1", "dc", "watch"],
    ["0.99", "dc", "pass"],
  ] as const)("%s V %s is %s", (value, quantity, expected) => {
    expect(verdict(volts(value, { quantity }))).toBe(expected);
  });

  test("below 1 V says that it is no reassurance", () => {
    expect(judgeReading(volts("0.3"), context()).reasons.join(" ")).toContain("no reassurance");
  });

  test("a low- or unknown-impedance meter cannot pass a low reading", () => {
    expect(verdict(volts("0.3", { meterImpedance: "low" }))).toBe("cannot_judge");
    expect(verdict(volts("0.3", { meterImpedance: null }))).toBe("cannot_judge");
    expect(judgeReading(volts("5", { meterImpedance: "low" }), context()).reasons.join(" ")).toContain("may be higher");
  });

  test("a low-impedance re-reading does not lower a stop unless a named, licensed person took it", () => {
    const others = [volts("42", { inspectedAt: atTime("2024-05-01T14:00:00Z") })];
    expect(verdict(volts("2", { meterImpedance: "low" }), { others })).toBe("stop");
    expect(
      verdict(volts("2", { meterImpedance: "low", inspector: "Inspector one", inspectorLicence: "L-1" }), { others }),
    ).toBe("watch");
  });

  test("a stop stands whatever outcome was recorded", () => {
    for (const outcome of ["pass", "fail", "unable"] as const) expect(verdict(volts("80", { outcome }))).toBe("stop");
  });

  test("raising the voltage never softens the verdict", () => {
    const order = ["pass", "cannot_judge", "watch", "stop"];
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 600, noNaN: true }),
        fc.double({ min: 0, max: 600, noNaN: true }),
        fc.constantFrom("ac_rms", "dc", null),
        fc.constantFrom("high", "low", null),
        (a, b, quantity, meterImpedance) => {
          const [low, high] = [Math.min(a, b), Math.max(a, b)].map((v) =>
            order.indexOf(verdict(volts(String(v), { quantity, meterImpedance }))),
          );
          expect(high).toBeGreaterThanOrEqual(low as number);
        },
      ),
    );
  });
});

describe("judgeReading of a bond", () => {
  test.each([
    ["0.1", "pass"],
    ["0.101", "watch"],
    ["1", "watch"],
    ["1.01", "fail"],
  ])("%s ohm four-wire after a quiet voltage reading is %s", (value, expected) => {
    expect(verdict(ohms(value), { others: [quiet] })).toBe(expected);
  });

  test("two leads cannot judge 0.1 ohm, nor can an unknown method or an earth clamp", () => {
    for (const method of ["two_lead", "clamp", null] as const) {
      expect(verdict(ohms("0.05", { method }), { others: [quiet] })).toBe("cannot_judge");
      expect(verdict(ohms("5", { method }), { others: [quiet] })).toBe("fail");
    }
  });

  test("without a voltage reading between the same points first it never passes", () => {
    expect(verdict(ohms("0.01"))).toBe("cannot_judge");
    const elsewhere = volts("0.2", { pointA: "section:B" });
    const later = volts("0.2", { inspectedAt: atTime("2024-05-01T15:20:00Z") });
    const dayBefore = volts("0.2", { inspectedAt: atTime("2024-04-30T15:00:00Z") });
    for (const other of [elsewhere, later, dayBefore])
      expect(verdict(ohms("0.01"), { others: [other] })).toBe("cannot_judge");
    const reversed = volts("0.2", { pointA: "ground_bus", pointB: "section:A" });
    expect(verdict(ohms("0.01"), { others: [reversed] })).toBe("pass");
    expect(verdict(ohms("0.01"), { others: [volts("0.2", { inspectedAt: onDay("2024-05-01") })] })).toBe("pass");
  });

  test("a resistance read across a voltage cannot be judged", () => {
    expect(verdict(ohms("0.01"), { others: [volts("4")] })).toBe("cannot_judge");
  });

  test("a recorded fail stands beside a good number, and unable is a gap", () => {
    expect(verdict(ohms("0.01", { outcome: "fail" }), { others: [quiet] })).toBe("fail");
    expect(verdict(ohms("0.01", { outcome: "unable" }), { others: [quiet] })).toBe("cannot_judge");
    expect(verdict(sampleInspection({ check: "section_jumper", outcome: "unable" }))).toBe("cannot_judge");
  });

  test.each(["-1", "abc", "NaN", "Infinity"])("%s cannot be judged", (value) => {
    expect(verdict(ohms(value), { others: [quiet] })).toBe("cannot_judge");
  });
});

describe("judgeReading of insulation", () => {
  const insulation = (value: string, over: Partial<Inspection> = {}) =>
    sampleInspection({
      check: "insulation_resistance",
      unit: "megohm",
      value,
      testVoltageV: 1000,
      method: "insulation_1",
      ...over,
    });

  // IEC 62446-1 rows: see tests/truth/test-limits.test.ts for source and marks.
  test("is judged by the array's voltage and the test voltage", () => {
    expect(verdict(insulation("1"))).toBe("pass");
    expect(verdict(insulation("0.99"))).toBe("fail");
    expect(verdict(insulation("999", { unit: "kohm" }))).toBe("fail");
    expect(verdict(insulation("20", { testVoltageV: 500 }))).toBe("cannot_judge");
    expect(verdict(insulation("20", { testVoltageV: 500 }), { maxDcV: 500 })).toBe("pass");
    expect(verdict(insulation("0.6", { testVoltageV: 250 }), { maxDcV: 100 })).toBe("pass");
    expect(verdict(insulation("20", { testVoltageV: null }))).toBe("cannot_judge");
    expect(verdict(insulation("20"), { maxDcV: null })).toBe("cannot_judge");
    expect(verdict(insulation("0.2"), { maxDcV: null })).toBe("fail");
  });
});

describe("judgeReading of an electrode", () => {
  const point = { pointA: "electrode", pointB: "earth" } as const;
  const earth = (value: string, over: Partial<Inspection> = {}) =>
    sampleInspection({
      check: "electrode_resistance",
      unit: "ohm",
      method: "clamp",
      value,
      inspectedAt: atTime("2024-05-01T15:10:00Z"),
      ...point,
      ...over,
    });
  const others = [volts("0.1", { ...point, check: "section_potential" })];

  // NEC 250.53(A)(2) Exception: 25 ohm (trade article on the 2011 rewrite).
  test("25 ohm decides only the supplemental electrode", () => {
    const good = judgeReading(earth("25"), context({ others }));
    expect(good.verdict).toBe("pass");
    expect(good.reasons.join(" ")).toContain("not bonded to the service is a defect at any reading");
    expect(verdict(earth("25.1"), { others })).toBe("watch");
    expect(verdict(earth("9"), { others, electrode: "ring" })).toBe("cannot_judge");
    expect(verdict(earth("9", { method: "two_lead" }), { others })).toBe("cannot_judge");
  });

  test("8 ft of rod in contact with soil", () => {
    const depth = (value: string) => verdict(sampleInspection({ check: "electrode_depth", unit: "foot", value }));
    expect(depth("8")).toBe("pass");
    expect(depth("7.5")).toBe("fail");
  });
});

describe("judgeReading of a conductor size", () => {
  const size = (value: string, requiredSize: string | null) =>
    verdict(sampleInspection({ check: "egc_size", unit: "awg", value }), { requiredSize });
  test("is judged against the minimum where that is known", () => {
    expect(size("8", "8")).toBe("pass");
    expect(size("10", "8")).toBe("fail");
    expect(size("8", null)).toBe("cannot_judge");
    expect(size("9", "8")).toBe("cannot_judge");
  });
});
