import fc from "fast-check";
import { UndirectedGraph } from "graphology";
import { connectedComponents } from "graphology-components";
import { describe, expect, test } from "vitest";
import { PATH_PIECE_KINDS, type PathBond, type PathPiece, type SiteRecords } from "../../lib/core/records.ts";
import { bondingPath } from "../../lib/grounding/bonding-path.ts";
import { isolatedPieces } from "../../lib/grounding/isolated-pieces.ts";
import { pathLayout } from "../../lib/grounding/path-layout.ts";
import { pathReport } from "../../lib/grounding/path-report.ts";
import { proposeJumpers } from "../../lib/grounding/propose-jumpers.ts";
import { resistancesToGround } from "../../lib/grounding/touch-voltage.ts";
import {
  AS_OF,
  atTime,
  measuredLink,
  sampleInspection,
  sampleRecords,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

const piece = (over: Partial<PathPiece>): PathPiece => ({
  ...{ siteId: "S1", pieceId: "P", kind: "other", name: null, sectionId: null, inverterId: null },
  ...{ standsIn: null, place: 0, bondedTo: null, method: null, awg: null, material: null, listed: null },
  ...over,
});
const bond = (over: Partial<PathBond>): PathBond => ({
  ...{ siteId: "S1", bondId: "J", from: "section:A", to: "section:B" },
  ...{ method: "lug_and_jumper", awg: null, material: null, listed: null },
  ...over,
});
const EGC = "inverter_egc inverter:I1 ground_bus";
const chain: PathPiece[] = [
  piece({ pieceId: "AC", kind: "ac_disconnect", standsIn: EGC, place: 1 }),
  piece({ pieceId: "LC", kind: "load_centre", standsIn: EGC, place: 2 }),
];
/** One section whose only way down is the inverter's conductor. */
const oneWay = (over: Partial<SiteRecords> = {}) =>
  sampleRecords({ sections: [sampleSection({ bondedTo: null })], pathPieces: chain, ...over });
const statuses = (records: SiteRecords) =>
  Object.fromEntries(bondingPath(records, AS_OF).edges.map((edge) => [edge.id, edge.status]));
const PARTS = [
  "inverter_egc inverter:I1 piece:AC",
  "inverter_egc piece:AC piece:LC",
  "inverter_egc piece:LC ground_bus",
];

describe("pieces that stand in a conductor", () => {
  test("split it, and each part is a single point for all that is above it", () => {
    const path = bondingPath(oneWay(), AS_OF);
    expect(path.edges.map((edge) => edge.id)).toEqual(expect.arrayContaining(PARTS));
    expect(path.edges.some((edge) => edge.id === EGC)).toBe(false);
    const above = ["inverter:I1", "metal:A", "section:A"];
    expect(path.singlePoints.filter((each) => PARTS.includes(each.linkId))).toEqual([
      { linkId: PARTS[0], loses: above },
      { linkId: PARTS[1], loses: [...above, "piece:AC"].sort() },
      { linkId: PARTS[2], loses: [...above, "piece:AC", "piece:LC"].sort() },
    ]);
  });

  test("nothing makes them verified but an inspection: of the part itself, or of the whole conductor", () => {
    expect(PARTS.map((id) => statuses(oneWay())[id])).toEqual(["unverified", "unverified", "unverified"]);
    const part = measuredLink("piece:AC", "piece:LC", "0.03");
    expect(PARTS.map((id) => statuses(oneWay({ inspections: part }))[id])).toEqual([
      "unverified",
      "verified",
      "unverified",
    ]);
    const whole = sampleInspection({ check: "egc_continuous", inverterId: "I1" });
    const path = bondingPath(oneWay({ inspections: [whole] }), AS_OF);
    for (const id of PARTS)
      expect(path.edges.find((edge) => edge.id === id)).toMatchObject({
        status: "verified",
        by: "sight",
        record: whole,
      });
  });

  test("a failure of one part stands against a look along the whole, and falls to a later reading of that part", () => {
    const bad = sampleInspection({
      ...{ pointA: "piece:AC", pointB: "piece:LC", value: "5", unit: "ohm", method: "four_wire", outcome: "fail" },
    });
    const look = sampleInspection({
      ...{ check: "egc_continuous", inverterId: "I1", inspectedAt: atTime("2024-05-02T10:00:00Z") },
    });
    expect(PARTS.map((id) => statuses(oneWay({ inspections: [bad, look] }))[id])).toEqual([
      "verified",
      "failed",
      "verified",
    ]);
    const after = measuredLink("piece:AC", "piece:LC", "0.02", "2024-05-03");
    expect(statuses(oneWay({ inspections: [bad, look, ...after] }))[PARTS[1] as string]).toBe("verified");
    const cut = bondingPath(oneWay({ inspections: [bad] }), AS_OF).cutOff;
    expect(cut).toEqual([["inverter:I1", "metal:A", "piece:AC", "section:A"]]);
  });

  // Series resistors add (elementary circuit theory). A reading over the whole run stands for it while a part is unread,
  // and is not put in parallel with its own parts when all were read.
  test("resistance over the parts adds up; a reading of the whole run is not counted beside its own parts", () => {
    const section = measuredLink("section:A", "inverter:I1", "0.04");
    const whole = measuredLink("inverter:I1", "ground_bus", "0.09");
    const parts = [
      ...measuredLink("inverter:I1", "piece:AC", "0.01"),
      ...measuredLink("piece:AC", "piece:LC", "0.02"),
      ...measuredLink("piece:LC", "ground_bus", "0.03"),
    ];
    const ohms = (inspections: SiteRecords["inspections"]) => {
      const path = bondingPath(oneWay({ inspections }), AS_OF);
      return resistancesToGround(path.edges, path.runs);
    };
    expect(ohms([...section, ...parts]).get("section:A")).toBeCloseTo(0.1, 12);
    expect(ohms([...section, ...whole]).get("section:A")).toBeCloseTo(0.13, 12);
    expect(ohms([...section, ...whole]).has("piece:AC")).toBe(false);
    expect(ohms([...section, ...whole, ...parts]).get("section:A")).toBeCloseTo(0.1, 12);
    expect(ohms([...section, ...parts.slice(0, 4)]).has("section:A")).toBe(false);
  });

  test("in a link that is gone they are a problem in words and not drawn as cut off", () => {
    const stray = piece({ pieceId: "AC", kind: "ac_disconnect", standsIn: "inverter_egc inverter:I9 ground_bus" });
    const path = bondingPath(sampleRecords({ pathPieces: [stray] }), AS_OF);
    expect(path.problems.join()).toContain("AC disconnect AC is recorded in a link that is not there any more");
    expect(path.cutOff).toEqual([]);
  });
});

describe("pieces beside the way", () => {
  test("every kind is drawn with its name, hangs on what it is bonded to, and is unverified at first", () => {
    const pathPieces = PATH_PIECE_KINDS.map((kind) => piece({ pieceId: kind, kind, bondedTo: "section:A" }));
    const path = bondingPath(sampleRecords({ pathPieces }), AS_OF);
    for (const { pieceId } of pathPieces) {
      const edge = path.edges.find((each) => each.from === `piece:${pieceId}`);
      expect(edge).toMatchObject({ to: "section:A", status: "unverified", recorded: true });
    }
    expect(pathLayout(path.nodes, path.edges).nodes.length).toBe(path.nodes.length);
  });

  test("a combiner that sections name is there, not recorded as bonded and never verified by that", () => {
    const sections = [sampleSection({ combinerId: "CB" }), sampleSection({ sectionId: "B", combinerId: "CB" })];
    const path = bondingPath(sampleRecords({ sections }), AS_OF);
    expect(path.nodes.filter((node) => node.kind === "combiner").map((node) => node.label)).toEqual(["Combiner CB"]);
    const edge = path.edges.find((each) => each.from === "piece:CB");
    expect(edge).toMatchObject({ to: "inverter:I1", recorded: false, status: "unverified" });
    const own = piece({ pieceId: "CB", kind: "combiner", bondedTo: "section:A", method: "none" });
    const made = bondingPath(sampleRecords({ sections, pathPieces: [own] }), AS_OF);
    expect(made.edges.filter((each) => each.from === "piece:CB")).toMatchObject([
      { to: "section:A", status: "missing" },
    ]);
  });

  test("metal recorded as not bonded is cut off by its kind, with a jumper sized by its circuit", () => {
    const flashing = piece({ pieceId: "F", kind: "flashing", sectionId: "A", bondedTo: "section:A", method: "none" });
    const box = piece({ pieceId: "CB", kind: "combiner", inverterId: "I1", bondedTo: "inverter:I1", method: "none" });
    const rod = piece({ pieceId: "R", kind: "electrode", bondedTo: "ground_bus", method: "none" });
    const records = sampleRecords({ pathPieces: [flashing, box, rod] });
    const path = bondingPath(records, AS_OF);
    expect(
      isolatedPieces(path)
        .map((each) => each.kind)
        .sort(),
    ).toEqual(["isolated_enclosure", "isolated_metal", "rod_not_bonded_back"]);
    const jumpers = proposeJumpers(records, path);
    // 70 A device: 8 AWG copper; 9.5 A x 2 x 1.5625 = 29.7 A: 10 AWG copper (Table 250.122).
    expect(jumpers.find((each) => each.from === "piece:CB")?.size).toMatchObject({ kind: "size", size: "8" });
    expect(jumpers.find((each) => each.from === "piece:F")?.size).toMatchObject({ kind: "size", size: "10" });
    for (const each of jumpers) expect(each.warnings).toContain("measure AC and DC voltage across the gap");
  });

  test("a look at all metal of a section verifies its pieces by sight; a failed one without points fails them", () => {
    const flashing = piece({ pieceId: "F", kind: "flashing", sectionId: "A", bondedTo: "section:A" });
    const look = sampleInspection({ check: "all_metal_bonded", sectionId: "A" });
    const at = (inspections: SiteRecords["inspections"]) =>
      statuses(sampleRecords({ pathPieces: [flashing], inspections }))["piece_bond piece:F section:A"];
    expect(at([look])).toBe("verified");
    expect(at([{ ...look, outcome: "fail" }])).toBe("failed");
    expect(at([{ ...look, sectionId: "B" }])).toBe("unverified");
    // A resistance at the section without points is of the section's bond, not of the flashing's.
    const ohm = measuredLink("x", "y", "0.02").map((row) => ({ ...row, pointA: null, pointB: null, sectionId: "A" }));
    expect(at(ohm)).toBe("unverified");
  });
});

describe("resistance over pieces and further bonds", () => {
  // A balanced Wheatstone bridge, textbook (from memory, high): (10 + 20) parallel (15 + 30) mohm = 18 mohm, whatever the
  // bridging resistance.
  test.each(["0.001", "0.05", "0.1"])("a balanced bridge of %s ohm in the middle is 18 mohm", (middle) => {
    const pathPieces = [
      piece({ pieceId: "L", kind: "metal_conduit", bondedTo: "ground_bus" }),
      piece({ pieceId: "R", kind: "racking", bondedTo: "ground_bus" }),
    ];
    const pathBonds = [
      bond({ bondId: "1", to: "piece:L" }),
      bond({ bondId: "2", to: "piece:R" }),
      bond({ bondId: "3", from: "piece:L", to: "piece:R" }),
    ];
    const inspections = [
      ...measuredLink("section:A", "piece:L", "0.010"),
      ...measuredLink("piece:L", "ground_bus", "0.020"),
      ...measuredLink("section:A", "piece:R", "0.015"),
      ...measuredLink("piece:R", "ground_bus", "0.030"),
      ...measuredLink("piece:L", "piece:R", middle),
    ];
    const path = bondingPath(sampleRecords({ pathPieces, pathBonds, inspections }), AS_OF);
    expect(resistancesToGround(path.edges, path.runs).get("section:A")).toBeCloseTo(0.018, 12);
  });
});

describe("further bonds", () => {
  test("back up the bond beside them, and two between the same pieces are two links", () => {
    const sections = [
      sampleSection({ egcAwg: null, bondedTo: "bus" }),
      sampleSection({ sectionId: "B", egcAwg: null, bondedTo: "A" }),
    ];
    const open = sampleRecords({ sections });
    const down = (records: SiteRecords) =>
      bondingPath(records, AS_OF).singlePoints.filter((each) => each.loses.includes("section:A"));
    expect(down(open).map((each) => each.linkId)).toEqual(["section_bond section:A ground_bus"]);
    const pathBonds = [bond({ bondId: "J1", to: "ground_bus" }), bond({ bondId: "J2", to: "ground_bus" })];
    const after = bondingPath({ ...open, pathBonds }, AS_OF);
    expect(after.edges.filter((edge) => edge.kind === "further_bond").length).toBe(2);
    expect(down({ ...open, pathBonds })).toEqual([]);
  });

  test("one that names what is not there, or itself, is a problem in words and no link", () => {
    const pathBonds = [bond({ bondId: "J1", to: "section:Z" }), bond({ bondId: "J2", to: "section:A" })];
    const path = bondingPath(sampleRecords({ pathBonds }), AS_OF);
    expect(path.problems).toHaveLength(2);
    expect(path.edges.some((edge) => edge.kind === "further_bond")).toBe(false);
  });

  test("a recorded size is judged by the device of its circuit", () => {
    const pathBonds = [bond({ awg: "14", material: "copper" })];
    const lines = pathReport(sampleRecords({ pathBonds }), AS_OF).conductors;
    expect(lines.find((line) => line.name === "Bond J")).toMatchObject({ verdict: "undersized", required: "10 AWG" });
  });
});

describe("battery with an electrode of its own", () => {
  test("the battery hangs on its electrode, which has to be joined to the service", () => {
    const path = bondingPath(sampleRecords({ site: sampleSite({ battery: "separate_electrode" }) }), AS_OF);
    expect(path.edges.map((edge) => edge.id)).toEqual(
      expect.arrayContaining(["battery_gec battery battery_electrode", "battery_bond battery_electrode ground_bus"]),
    );
    const lost = path.singlePoints.find((each) => each.linkId === "battery_bond battery_electrode ground_bus");
    expect(lost?.loses).toEqual(["battery", "battery_electrode"]);
  });
});

// The outside judge is the general-purpose graph library graphology with its connected components.
describe("a path with pieces and bonds of every kind", () => {
  const anyRecords = fc
    .record({
      pieces: fc.array(
        fc.record({
          kind: fc.constantFrom(...PATH_PIECE_KINDS),
          spot: fc.nat({ max: 9 }),
          absent: fc.boolean(),
        }),
        { maxLength: 8 },
      ),
      bonds: fc.array(fc.tuple(fc.nat(), fc.nat(), fc.boolean()), { maxLength: 6 }),
      bondedTo: fc.array(fc.constantFrom("A", "B", "C", "bus", null), { minLength: 3, maxLength: 3 }),
    })
    .map(({ pieces, bonds, bondedTo }) => {
      const ids = ["A", "B", "C"];
      const sections = ids.map((sectionId, i) =>
        sampleSection({ sectionId, egcAwg: null, bondMethod: "none", bondedTo: bondedTo[i] ?? null }),
      );
      const spots = ["section:A", "section:B", "section:C", "inverter:I1", "ground_bus"];
      const pathPieces = pieces.map(({ kind, spot, absent }, i) =>
        piece({
          ...{ pieceId: `P${i}`, kind, place: i },
          ...(spot < spots.length
            ? { bondedTo: spots[spot] as string }
            : spot === 9
              ? { bondedTo: null }
              : { standsIn: EGC }),
          method: absent ? "none" : null,
        }),
      );
      const points = [...spots, ...pathPieces.map((each) => `piece:${each.pieceId}`)];
      const pathBonds = bonds.map(([a, b, absent], i) =>
        bond({
          ...{ bondId: `J${i}`, from: points[a % points.length] as string, to: points[b % points.length] as string },
          method: absent ? "none" : "clamp",
        }),
      );
      return sampleRecords({ sections, pathPieces, pathBonds });
    });

  test("cut-off pieces and single points agree with the library", () => {
    fc.assert(
      fc.property(anyRecords, (records) => {
        const path = bondingPath(records, AS_OF);
        const holding = path.edges.filter((edge) => edge.status !== "missing" && edge.status !== "failed");
        const without = (lost: string | null) => {
          const graph = new UndirectedGraph({ allowSelfLoops: true });
          for (const node of path.nodes) graph.addNode(node.id);
          for (const edge of holding) if (edge.id !== lost) graph.mergeUndirectedEdge(edge.from, edge.to);
          return new Set(connectedComponents(graph).find((part) => part.includes("ground_bus")));
        };
        const reached = without(null);
        const cut = path.nodes.map((node) => node.id).filter((id) => !reached.has(id));
        expect(path.cutOff.flat().sort()).toEqual(cut.sort());
        const single = holding.flatMap((edge) => {
          const left = without(edge.id);
          const loses = [...reached].filter((id) => !left.has(id)).sort();
          return loses.length > 0 ? [{ linkId: edge.id, loses }] : [];
        });
        expect(path.singlePoints).toEqual(single);
      }),
      { numRuns: 200 },
    );
  });

  test("jumpers as proposed bring every cut-off piece back, and the drawing holds every link once", () => {
    fc.assert(
      fc.property(anyRecords, (records) => {
        const path = bondingPath(records, AS_OF);
        const graph = new UndirectedGraph({ allowSelfLoops: true });
        for (const node of path.nodes) graph.addNode(node.id);
        for (const edge of path.edges)
          if (edge.status !== "missing" && edge.status !== "failed") graph.mergeUndirectedEdge(edge.from, edge.to);
        for (const jumper of proposeJumpers(records, path)) graph.mergeUndirectedEdge(jumper.from, jumper.to);
        expect(connectedComponents(graph).length).toBe(1);
        const layout = pathLayout(path.nodes, path.edges);
        expect(layout.links.map((link) => link.id).sort()).toEqual(path.edges.map((edge) => edge.id).sort());
        expect(() => pathReport(records, AS_OF)).not.toThrow();
      }),
      { numRuns: 200 },
    );
  });
});
