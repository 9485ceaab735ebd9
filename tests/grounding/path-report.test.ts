import { describe, expect, test } from "vitest";
import { pathReport } from "../../lib/grounding/path-report.ts";
import {
  AS_OF,
  atTime,
  measuredLink,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

const BARE = { bondedTo: null, egcAwg: null, bondMethod: "none" } as const;

describe("pathReport", () => {
  test("a link says how it is made, by whom it was seen and when, and one that nobody saw names nobody", () => {
    const look = sampleInspection({
      check: "egc_continuous",
      sectionId: "A",
      inspector: "Person one",
      inspectorLicence: "L-1",
      inspectedAt: atTime("2024-05-01T15:00:00Z"),
    });
    const { links } = pathReport(sampleRecords({ inspections: [look] }), AS_OF);
    expect(links.find((link) => link.id === "section_egc section:A inverter:I1")).toMatchObject({
      from: "Section A",
      to: "Inverter I1",
      size: "10 AWG copper",
      status: "verified",
      day: "2024-05-01",
      inspector: "Person one",
      licence: "L-1",
      touch: "unknown, up to 600 V DC",
    });
    expect(links.find((link) => link.id === "section_bond section:B ground_bus")).toMatchObject({
      made: "lug and jumper, listed",
      status: "unverified",
      day: null,
      inspector: null,
    });
  });

  test("failed and missing links come first, and each link is in the drawing", () => {
    const records = sampleRecords({
      sections: [sampleSection(), sampleSection({ sectionId: "B", ...BARE })],
      inspections: [sampleInspection({ check: "section_jumper", sectionId: "A", outcome: "fail" })],
    });
    const report = pathReport(records, AS_OF);
    expect(report.links.slice(0, 2).map((link) => link.status)).toEqual(["failed", "missing"]);
    expect(report.layout.links.map((link) => link.id).sort()).toEqual(report.links.map((link) => link.id).sort());
    expect(report.isolated.map((piece) => piece.kind)).toEqual(["isolated_section"]);
    expect(report.jumpers.map((jumper) => jumper.purpose)).toEqual(["reconnects", "restores"]);
  });

  test("a failure that names no place asks which link it means before a jumper is made", () => {
    const failed = sampleInspection({ check: "section_jumper", outcome: "fail" });
    const says = pathReport(sampleRecords({ inspections: [failed] }), AS_OF).jumpers.map((jumper) => jumper.says);
    expect(says).toHaveLength(2);
    for (const each of says) expect(each).toContain("find out first which link it means");
  });

  test("single points name what they carry, most first, and count those that carry only other metal", () => {
    const sections = [
      sampleSection({ bondedTo: null }),
      sampleSection({ sectionId: "B", egcAwg: null, bondedTo: "A" }),
    ];
    const { singlePoints, singleMetal } = pathReport(sampleRecords({ sections }), AS_OF);
    expect(singlePoints.map((each) => each.loses)).toEqual([
      ["Inverter I1", "Section A", "Section B"],
      ["Section A", "Section B"],
      ["Grounding electrode"],
      ["Section B"],
    ]);
    expect(singleMetal).toBe(2);
  });

  test("every conductor is judged with its rule and edition, an undersized one by how much", () => {
    const records = sampleRecords({ inverters: [sampleInverter({ egcAwg: "12" })] });
    const line = pathReport(records, AS_OF).conductors.find((each) => each.name === "EGC of inverter I1");
    expect(line).toMatchObject({
      recorded: "12 AWG",
      required: "8 AWG",
      verdict: "undersized",
      rule: "NEC 250.122 (2017).",
    });
    expect(line?.says).toContain("2 standard sizes");
  });

  // By hand: 0.05 parallel (0.04 + 0.06) = 0.0333 ohm.
  test("a frame names its resistance over measured links, or that it is not known", () => {
    const { frames } = pathReport(
      sampleRecords({
        inspections: [
          ...measuredLink("section:A", "ground_bus", "0.05"),
          ...measuredLink("section:A", "inverter:I1", "0.04"),
          ...measuredLink("inverter:I1", "ground_bus", "0.06"),
        ],
      }),
      AS_OF,
    );
    const of = (label: string) => frames.find((frame) => frame.label === label)?.resistance;
    expect(of("Section A")).toContain("At most 0.033 ohm");
    expect(of("Section B")).toContain("not known");
  });

  test("without a loaded edition nothing is judged, cited or asked", () => {
    const report = pathReport(sampleRecords({ site: sampleSite({ necEdition: null }) }), AS_OF);
    expect(report.conductors.every((line) => line.verdict === "edition_not_loaded" && line.rule === "")).toBe(true);
    expect(report.looks).toEqual([]);
  });

  test("what to look for along conductors is said once for all that it is for", () => {
    const { looks } = pathReport(sampleRecords(), AS_OF);
    expect(looks.find((look) => look.rule === "NEC 250.120(C) (2017)")?.at).toEqual([
      "EGC of inverter I1",
      "EGC of section A",
      "EGC of section B",
    ]);
    expect(new Set(looks.map((look) => look.rule + look.asks)).size).toBe(looks.length);
  });

  // Rapid shutdown (690.12) is a separate matter and never counts as grounding evidence.
  test("nothing is called safe and rapid shutdown is cited nowhere", () => {
    const site = sampleSite({ separateArrayElectrode: "not_bonded", battery: "common_electrode" });
    for (const records of [sampleRecords(), sampleRecords({ site }), sampleRecords({ sections: [] })])
      expect(JSON.stringify(pathReport(records, AS_OF))).not.toMatch(/\bsafe|690\.12|rapid/i);
  });

  test("a site of which nothing is recorded still has a drawing, and says what is not known", () => {
    const report = pathReport(sampleRecords({ inverters: [], sections: [] }), AS_OF);
    expect(report.nodes.map((node) => node.id).sort()).toEqual(["electrode", "ground_bus"]);
    expect(report.gaps.join(" ")).toContain("No array sections are recorded");
  });
});
