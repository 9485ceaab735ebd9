import { describe, expect, test } from "vitest";
import type { SiteRecords } from "../../lib/core/records.ts";
import { checklistFor } from "../../lib/visit/checklist.ts";
import { listOf } from "../support/any-records.ts";
import {
  AS_OF,
  onDay,
  sampleCorrelation,
  sampleCoverage,
  sampleDiagnosis,
  sampleInspection,
  sampleRecords,
  sampleRepair,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

const whys = (records: SiteRecords, check: string) =>
  listOf(records)
    .items.filter((item) => item.check === check)
    .flatMap((item) => item.why);

describe("what a checklist is made from", () => {
  // Common practice, no source: the mistakes that a visit must be able to catch, at a site where nothing points at them.
  test.each([
    ["coating not removed at a bond", "bare_metal_contact"],
    ["wrong conductor size", "egc_size"],
    ["unlisted hardware or a plain screw", "listed_hardware"],
    ["racking, conduit, combiner or flashing left out", "all_metal_bonded"],
    ["inverter or sub-panel ground not tied to the service ground", "inverter_ground_terminal"],
    ["sections never bonded together", "section_jumper"],
  ])("%s is looked for by %s", (_, check) => {
    const sections = [sampleSection({ hardwareListed: null }), sampleSection({ sectionId: "B", hardwareListed: null })];
    const { items } = listOf(sampleRecords({ sections }));
    expect(items.map((item) => item.check)).toContain(check);
  });

  test("the inverter's ground is followed through the ground bar, and neutral joins ground at the service only", () => {
    const item = listOf(sampleRecords()).items.find((each) => each.check === "inverter_ground_terminal");
    expect(item?.says).toContain("through the equipment ground bar to the service ground");
    expect(item?.says).toContain("neutral and ground are not joined on the way");
    expect(item?.accept).toContain("neutral joined to ground at the service only");
  });

  test("metal left out names racking, conduit, combiner and flashing", () => {
    const item = listOf(sampleRecords()).items.find((each) => each.check === "all_metal_bonded");
    for (const metal of ["racking", "conduit", "combiner", "flashing"]) expect(item?.says).toContain(metal);
  });

  test("pieces recorded by hand are named where they are looked at", () => {
    const base = {
      ...{ siteId: "S1", name: null, sectionId: null, inverterId: null, standsIn: null, place: 0, bondedTo: null },
      ...{ method: null, awg: null, material: null, listed: null },
    };
    const pathPieces = [
      { ...base, pieceId: "F", kind: "flashing" as const, sectionId: "A" },
      { ...base, pieceId: "AC", kind: "ac_disconnect" as const, standsIn: "inverter_egc inverter:I1 ground_bus" },
    ];
    const { items } = listOf(sampleRecords({ pathPieces, sections: [sampleSection({ combinerId: "CB" })] }));
    const says = (check: string) => items.find((item) => item.check === check)?.says;
    expect(says("all_metal_bonded")).toMatch(/Recorded here: Flashing F, Combiner CB\.$/);
    expect(says("inverter_ground_terminal")).toMatch(/Recorded here: AC disconnect AC\.$/);
  });

  test("a conductor's size on file is read on site once; when it was read it is off the list", () => {
    expect(whys(sampleRecords(), "egc_size").join()).toContain("on file and was never read on site");
    const read = ["A", "B"].map((sectionId) =>
      sampleInspection({ check: "egc_size", sectionId, value: "10", unit: "awg" }),
    );
    const own = sampleInspection({ check: "egc_size", inverterId: "I1", value: "8", unit: "awg" });
    expect(whys(sampleRecords({ inspections: [...read, own] }), "egc_size")).toEqual([]);
  });

  test("the checks that would tell most are on it, also where nothing else asks for them", () => {
    const place = { records: sampleRecords(), diagnosis: sampleDiagnosis(), correlation: sampleCorrelation() };
    const nextTests = [{ check: "surge_protection", sectionId: null, inverterId: "I1" }] as const;
    const has = (list: ReturnType<typeof checklistFor>) => list.items.find((item) => item.check === "surge_protection");
    expect(has(checklistFor({ ...place, asOf: AS_OF }))).toBeUndefined();
    expect(has(checklistFor({ ...place, asOf: AS_OF, nextTests }))).toMatchObject({
      inverterId: "I1",
      why: ["It is among the checks that would tell most about this site."],
    });
  });

  test("a contract that asks for grounding to the code brings its checks, with the contract's name and end", () => {
    const coverage = [sampleCoverage({ conditions: ["code_compliant_grounding"] })];
    expect(whys(sampleRecords({ coverage }), "egc_size").join()).toContain(
      "workmanship W1 asks for grounding to the code; it runs until 2028-05-01.",
    );
    const over = [sampleCoverage({ conditions: ["code_compliant_grounding"], endsOn: "2024-05-31" })];
    expect(whys(sampleRecords({ coverage: over }), "egc_size").join()).not.toContain("W1");
  });

  test("a yearly inspection is due before its year is over, and not while a recent one stands", () => {
    const coverage = [sampleCoverage({ conditions: ["annual_inspection"] })];
    const on = (day: string) => sampleInspection({ check: "connector_condition", inspectedAt: onDay(day) });
    const says = (inspections: SiteRecords["inspections"]) =>
      whys(sampleRecords({ coverage, inspections }), "connector_condition").join();
    expect(says([])).toContain("every year: none is recorded");
    expect(says([on("2023-06-20")])).toContain("the last one was on 2023-06-20");
    expect(says([on("2024-03-01")])).toBe("");
  });

  test("a repair without a test is tested where a contract asks for documented repairs", () => {
    const coverage = [sampleCoverage({ conditions: ["documented_repairs"] })];
    const repair = sampleRepair({ cause: "connector_ingress", sectionId: "B", testedAfter: "none" });
    const records = sampleRecords({ coverage, repairs: [repair] });
    expect(whys(records, "connector_condition").join()).toContain("that of 2024-05-10 has no test on record");
    expect(whys({ ...records, repairs: [{ ...repair, testedAfter: "both" }] }, "connector_condition")).toEqual([]);
  });

  test("what passed more than five years ago is due again", () => {
    const look = (day: string) =>
      sampleInspection({ check: "conductor_condition", sectionId: "A", inspectedAt: onDay(day) });
    const says = (day: string) => whys(sampleRecords({ inspections: [look(day)] }), "conductor_condition").join();
    expect(says("2019-05-01")).toBe("Last looked at on 2019-05-01: due again.");
    expect(says("2023-05-01")).toBe("");
  });

  test("25 ohm is no acceptance for an electrode that it is no rule for", () => {
    const accept = (electrode: "rod" | "ring") =>
      listOf(sampleRecords({ site: sampleSite({ electrode }) }), { isolated_electrode: 0.5 }).items.find(
        (item) => item.check === "electrode_resistance",
      )?.accept;
    expect(accept("rod")).toContain("at most 25 ohm");
    expect(accept("ring")).toContain("25 ohm is a rule for a single rod, pipe or plate, and this is a ring");
  });

  test("where a size cannot be judged the list says what to write down", () => {
    const sections = [sampleSection({ moduleIscA: null, ocpdA: null })];
    const item = listOf(sampleRecords({ sections })).items.find(
      (each) => each.check === "egc_size" && each.sectionId === "A",
    );
    expect(item?.accept).toContain("write it down too: rating of the overcurrent device, or that there is none");
  });
});
