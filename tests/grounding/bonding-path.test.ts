import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Inspection } from "../../lib/core/records.ts";
import { bondingPath } from "../../lib/grounding/bonding-path.ts";
import {
  AS_OF,
  atTime,
  sampleInspection,
  sampleRecords,
  sampleRepair,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

const seen = (over: Partial<Inspection>) => sampleInspection({ outcome: "pass", ...over });
const edge = (records: ReturnType<typeof sampleRecords>, id: string) => {
  const found = bondingPath(records, AS_OF).edges.find((each) => each.id === id);
  if (!found) throw new Error(`no edge ${id}`);
  return found;
};
const BOND_A = "section_bond section:A ground_bus";

describe("bondingPath", () => {
  test("what nobody inspected is unverified, never verified", () => {
    const path = bondingPath(sampleRecords(), AS_OF);
    expect(path.edges.length).toBeGreaterThan(0);
    expect(path.edges.every((each) => each.status === "unverified")).toBe(true);
    expect(path.cutOff).toEqual([]);
    expect(path.unproven).toContain("section:A");
  });

  test("a section recorded without a bond and without a conductor is cut off", () => {
    const records = sampleRecords({
      sections: [sampleSection(), sampleSection({ sectionId: "B", bondedTo: null, egcAwg: null, bondMethod: "none" })],
    });
    expect(bondingPath(records, AS_OF).cutOff).toEqual([["metal:B", "section:B"]]);
  });

  // Common practice, no source: sections jumpered to one another and on to one EGC also pass.
  test("a section jumpered to its neighbour reaches ground through it, and hangs on that one link", () => {
    const records = sampleRecords({
      sections: [sampleSection({ bondedTo: null }), sampleSection({ sectionId: "B", egcAwg: null, bondedTo: "A" })],
    });
    const path = bondingPath(records, AS_OF);
    expect(path.cutOff).toEqual([]);
    expect(path.singlePoints).toContainEqual({
      linkId: "section_bond section:B section:A",
      loses: ["metal:B", "section:B"],
    });
  });

  test("a separate electrode that is not bonded back is cut off at any earth resistance", () => {
    const low = seen({
      check: "electrode_resistance",
      value: "2",
      unit: "ohm",
      method: "clamp",
      pointA: "electrode",
      pointB: "earth",
    });
    const records = sampleRecords({ site: sampleSite({ separateArrayElectrode: "not_bonded" }), inspections: [low] });
    expect(bondingPath(records, AS_OF).cutOff).toEqual([["array_electrode"]]);
  });

  test("a jumper seen sound is verified by sight; a failed reading afterwards fails it", () => {
    const look = seen({ check: "section_jumper", sectionId: "A" });
    expect(edge(sampleRecords({ inspections: [look] }), BOND_A)).toMatchObject({ status: "verified", by: "sight" });
    const bad = seen({
      check: "bond_resistance",
      pointA: "ground_bus",
      pointB: "section:A",
      value: "4",
      unit: "ohm",
      method: "four_wire",
      inspectedAt: atTime("2024-05-02T10:00:00Z"),
    });
    expect(edge(sampleRecords({ inspections: [look, bad] }), BOND_A).status).toBe("failed");
    const laterLook = seen({ check: "section_jumper", sectionId: "A", inspectedAt: atTime("2024-05-03T10:00:00Z") });
    expect(edge(sampleRecords({ inspections: [bad, laterLook] }), BOND_A).status).toBe("failed");
  });

  test("a good reading verifies only with a voltage reading before it", () => {
    const points = { pointA: "section:A", pointB: "ground_bus" };
    const ohm = seen({
      check: "bond_resistance",
      ...points,
      value: "0.05",
      unit: "ohm",
      method: "four_wire",
      inspectedAt: atTime("2024-05-01T15:10:00Z"),
    });
    const volt = seen({
      check: "section_potential",
      ...points,
      value: "0.1",
      unit: "volt",
      quantity: "dc",
      meterImpedance: "high",
    });
    expect(edge(sampleRecords({ inspections: [ohm] }), BOND_A).status).toBe("unverified");
    expect(edge(sampleRecords({ inspections: [volt, ohm] }), BOND_A)).toMatchObject({
      status: "verified",
      by: "measurement",
    });
  });

  test("a failure without a place fails every link it may mean, a pass without a place verifies none", () => {
    const statuses = (outcome: "pass" | "fail") =>
      bondingPath(sampleRecords({ inspections: [seen({ check: "egc_continuous", outcome })] }), AS_OF)
        .edges.filter((each) => each.kind === "inverter_egc")
        .map((each) => each.status);
    expect(statuses("fail")).toEqual(["failed"]);
    expect(statuses("pass")).toEqual(["unverified"]);
  });

  test("a voltage across a link fails it or casts doubt on it; a low one shows nothing", () => {
    const look = seen({ check: "section_jumper", sectionId: "A" });
    const across = (value: string) =>
      seen({
        check: "section_potential",
        pointA: "section:A",
        pointB: "ground_bus",
        value,
        unit: "volt",
        quantity: "dc",
        meterImpedance: "high",
        inspectedAt: atTime("2024-05-02T10:00:00Z"),
      });
    expect(edge(sampleRecords({ inspections: [look, across("40")] }), BOND_A).status).toBe("failed");
    expect(edge(sampleRecords({ inspections: [look, across("5")] }), BOND_A).status).toBe("unverified");
    expect(edge(sampleRecords({ inspections: [look, across("0.1")] }), BOND_A).status).toBe("verified");
    expect(edge(sampleRecords({ inspections: [across("0.1")] }), BOND_A).status).toBe("unverified");
  });

  test("a repair opens a failed link again and does not verify it", () => {
    const bad = seen({ check: "section_jumper", sectionId: "A", outcome: "fail" });
    expect(edge(sampleRecords({ inspections: [bad], repairs: [sampleRepair({})] }), BOND_A).status).toBe("unverified");
    expect(
      edge(sampleRecords({ inspections: [bad], repairs: [sampleRepair({ testedAfter: "none" })] }), BOND_A).status,
    ).toBe("failed");
    expect(
      edge(sampleRecords({ inspections: [bad], repairs: [sampleRepair({ sectionId: "B" })] }), BOND_A).status,
    ).toBe("failed");
  });

  test("a bond to itself and a bond to another site's section are named and give no link", () => {
    const records = sampleRecords({
      sections: [sampleSection({ bondedTo: "A" }), sampleSection({ sectionId: "B", bondedTo: "Z" })],
    });
    const path = bondingPath(records, AS_OF);
    expect(path.problems).toHaveLength(2);
    expect(path.edges.some((each) => each.kind === "section_bond")).toBe(false);
  });

  test("records after asOf are not used", () => {
    const look = seen({ check: "section_jumper", sectionId: "A", inspectedAt: atTime("2024-06-02T10:00:00Z") });
    expect(edge(sampleRecords({ inspections: [look] }), BOND_A).status).toBe("unverified");
  });

  test("cut-off pieces agree with a plain union-find on random bonds", () => {
    const ids = ["A", "B", "C", "D", "E", "F"];
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...ids, "bus", null), { minLength: 6, maxLength: 6 }), (targets) => {
        const sections = ids.map((sectionId, i) =>
          sampleSection({ sectionId, egcAwg: null, bondMethod: "none", bondedTo: targets[i] ?? null }),
        );
        const parent = new Map([...ids, "bus"].map((id) => [id, id]));
        const root = (id: string): string => (parent.get(id) === id ? id : root(parent.get(id) as string));
        targets.forEach((target, i) => {
          if (target !== null && target !== undefined) parent.set(root(ids[i] as string), root(target));
        });
        const expected = ids.filter((id) => root(id) !== root("bus")).map((id) => `section:${id}`);
        const cut = bondingPath(sampleRecords({ sections }), AS_OF)
          .cutOff.flat()
          .filter((id) => id.startsWith("section:"));
        expect(cut.sort()).toEqual(expected.sort());
      }),
    );
  });
});
