import { describe, expect, test } from "vitest";
import type { Inspection, SiteRecords } from "../../lib/core/records.ts";
import { bondingPath } from "../../lib/grounding/bonding-path.ts";
import type { PathEdge, PathNode } from "../../lib/grounding/path-graph.ts";
import {
  faultCurrent,
  frameTouchVoltage,
  linkTouchVoltage,
  measuredNetwork,
  resistancesToGround,
} from "../../lib/grounding/touch-voltage.ts";
import {
  AS_OF,
  atTime,
  measuredLink,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleSection,
} from "../support/sample-site.ts";

const BOND_A = measuredLink("section:A", "ground_bus", "0.05");
const linkOf = (records: SiteRecords, id: string) =>
  bondingPath(records, AS_OF).edges.find((each) => each.id === id) as PathEdge;
const touchA = (records: SiteRecords) =>
  linkTouchVoltage(records, linkOf(records, "section_bond section:A ground_bus"));
const frameOf = (records: SiteRecords, id: string) => {
  const path = bondingPath(records, AS_OF);
  const node = path.nodes.find((each) => each.id === id) as PathNode;
  return frameTouchVoltage(records, node, resistancesToGround(path.edges).get(id) ?? null);
};

describe("faultCurrent", () => {
  // NEC 690.8(A)(1): 1.25 x sum of rated Isc. Two sections of 2 strings of 9.5 A: 1.25 x 4 x 9.5 = 47.5 A.
  test("runs from the detector's setting to what every string of the inverter can drive", () => {
    expect(faultCurrent(sampleRecords(), "I1")).toEqual({ lowA: 0.3, highA: 47.5 });
    expect(faultCurrent(sampleRecords({ inverters: [sampleInverter({ tripMa: null })] }), "I1")?.lowA).toBe(0);
  });
  test("is not known where a section's figures are not recorded, or there is no section", () => {
    const open = [sampleSection(), sampleSection({ sectionId: "B", moduleIscA: null })];
    expect(faultCurrent(sampleRecords({ sections: open }), "I1")).toBeNull();
    expect(faultCurrent(sampleRecords(), "I9")).toBeNull();
  });
});

describe("linkTouchVoltage", () => {
  // Ohm's law by hand: 0.3 A x 0.05 ohm = 0.015 V; 47.5 A x 0.05 ohm = 2.375 V.
  test("is fault current times reading for a link that was measured and accepted", () => {
    const touch = touchA(sampleRecords({ inspections: BOND_A }));
    expect(touch).toMatchObject({ kind: "range", ohms: 0.05 });
    if (touch.kind !== "range") throw new Error("a range");
    expect(touch.lowV).toBeCloseTo(0.015, 12);
    expect(touch.highV).toBeCloseTo(2.375, 12);
    expect(touch.says).toContain("measure before touching");
  });

  const look = (over: Partial<Inspection>) => sampleInspection({ check: "section_jumper", sectionId: "A", ...over });
  const across = sampleInspection({
    ...BOND_A[0],
    value: "40",
    inspectedAt: atTime("2024-05-02T10:00:00Z"),
  } as Inspection);
  test.each([
    ["never inspected", []],
    ["only seen", [look({})]],
    ["failed", [look({ outcome: "fail" })]],
    ["measured, then failed", [...BOND_A, look({ outcome: "fail", inspectedAt: atTime("2024-05-03T10:00:00Z") })]],
    ["measured, then a voltage across it", [...BOND_A, across]],
    ["measured without a voltage reading first", BOND_A.slice(1)],
    ["measured with two leads", [BOND_A[0], { ...BOND_A[1], method: "two_lead" }] as Inspection[]],
  ])("a link %s has no estimate and names the array's voltage", (_, inspections) => {
    const touch = touchA(sampleRecords({ inspections }));
    expect(touch).toMatchObject({ kind: "unknown", maxDcV: 600 });
    expect(touch.says).toMatch(/^Unknown: anything up to .*600 V DC/);
    expect(touch.says).not.toMatch(/safe/i);
  });

  test("a link that the records call absent has no estimate", () => {
    const sections = [sampleSection({ bondedTo: null, egcAwg: null, bondMethod: "none" })];
    expect(touchA(sampleRecords({ sections })).kind).toBe("unknown");
  });

  test("without the array's largest voltage the sentence names none, and without current there is no range", () => {
    const inverters = [sampleInverter({ maxDcV: null })];
    expect(touchA(sampleRecords({ inverters })).says).not.toMatch(/\d+ V/);
    const sections = [sampleSection({ parallelStrings: null })];
    expect(touchA(sampleRecords({ sections, inspections: BOND_A })).kind).toBe("unknown");
  });

  test("seen sound after it was measured keeps the reading", () => {
    const later = look({ inspectedAt: atTime("2024-05-03T10:00:00Z") });
    expect(touchA(sampleRecords({ inspections: [...BOND_A, later] }))).toMatchObject({ kind: "range", ohms: 0.05 });
  });
});

describe("frameTouchVoltage", () => {
  const both = [
    ...BOND_A,
    ...measuredLink("section:A", "inverter:I1", "0.04"),
    ...measuredLink("inverter:I1", "ground_bus", "0.06"),
  ];
  // By hand: 0.05 parallel (0.04 + 0.06) = 0.0333 ohm; x 47.5 A = 1.583 V.
  test("two measured ways to the bus act in parallel", () => {
    const touch = frameOf(sampleRecords({ inspections: both }), "section:A");
    if (touch.kind !== "range") throw new Error("a range");
    expect(touch.ohms).toBeCloseTo(0.1 / 3, 12);
    expect(touch.highV).toBeCloseTo((47.5 * 0.1) / 3, 12);
  });
  test("a chain with one link that was only seen gives no estimate", () => {
    const half = measuredLink("section:A", "inverter:I1", "0.04");
    const seen = sampleInspection({ check: "egc_continuous", inverterId: "I1" });
    const records = sampleRecords({ inspections: [...half, seen] });
    expect(measuredNetwork(bondingPath(records, AS_OF).edges).map((each) => each.ohms)).toEqual([0.04]);
    expect(frameOf(records, "section:A").kind).toBe("unknown");
  });
});
