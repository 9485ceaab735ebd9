import { describe, expect, test } from "vitest";
import type { Check, SiteRecords } from "../../lib/core/records.ts";
import { type ConditionFinding, conditionFindings } from "../../lib/coverage/conditions.ts";
import {
  AS_OF,
  atTime,
  measuredLink,
  onDay,
  sampleInspection,
  sampleRecords,
  sampleSection,
} from "../support/sample-site.ts";

const find = (
  condition: ConditionFinding["condition"],
  records: SiteRecords,
  papers: Parameters<typeof conditionFindings>[0]["papers"] = [],
  asOf = AS_OF,
) => {
  const hit = conditionFindings({ records, papers, asOf }).find((f) => f.condition === condition);
  if (!hit) throw new Error(condition);
  return hit;
};
const repair = (over: Partial<SiteRecords["repairs"][number]>): SiteRecords["repairs"][number] => ({
  siteId: "S1",
  repairedAt: onDay("2024-03-01"),
  cause: "open_section_bond",
  sectionId: "A",
  inverterId: null,
  action: "jumper renewed",
  confirmed: "yes",
  testedAfter: "continuity",
  ...over,
});

test("with nothing recorded of it, no condition is met or broken", () => {
  const bare = sampleRecords({
    inspections: [],
    repairs: [],
    sections: [sampleSection({ hardwareListed: null, bondMethod: null, bondedTo: null, egcAwg: null })],
  });
  for (const f of conditionFindings({ records: bare, papers: [], asOf: AS_OF })) {
    expect(f.state, f.condition).toBe("unknown");
    expect(f.record, f.condition).toBeNull();
    expect(f.restores, f.condition).not.toBeNull();
  }
});

describe("annual_inspection", () => {
  const of = (day: string, outcome: "pass" | "unable" = "pass") =>
    find("annual_inspection", sampleRecords({ inspections: [sampleInspection({ inspectedAt: onDay(day), outcome })] }));
  test("is met for twelve months from an inspection, to the day, and broken after", () => {
    // AS_OF is 2024-06-01.
    expect(of("2023-06-01").state).toBe("met");
    expect(of("2023-05-31")).toMatchObject({ state: "broken", record: expect.stringContaining("2023-05-31") });
  });
  test("an attempt that could not be made is no inspection, nor one after the day asked about", () => {
    expect(of("2024-05-01", "unable").state).toBe("unknown");
    expect(of("2024-07-01").state).toBe("unknown");
  });
});

describe("code_compliant_grounding", () => {
  test("a fail breaks it, and a later pass at that place takes the break away without making it met", () => {
    const fail = sampleInspection({
      check: "section_jumper",
      sectionId: "A",
      outcome: "fail",
      inspectedAt: onDay("2024-04-01"),
    });
    const pass = sampleInspection({
      check: "section_jumper",
      sectionId: "A",
      outcome: "pass",
      inspectedAt: onDay("2024-05-01"),
    });
    const broken = find("code_compliant_grounding", sampleRecords({ inspections: [fail] }));
    expect(broken).toMatchObject({ state: "broken", record: expect.stringContaining("section A") });
    expect(broken.restores).toContain("ask the carrier");
    expect(find("code_compliant_grounding", sampleRecords({ inspections: [fail, pass] })).state).toBe("unknown");
  });
  test("unlisted hardware and a conductor below the table break it", () => {
    const unlisted = sampleRecords({ inspections: [], sections: [sampleSection({ hardwareListed: "no" })] });
    expect(find("code_compliant_grounding", unlisted).state).toBe("broken");
    const thin = sampleRecords({
      inspections: [],
      inverters: sampleRecords().inverters.map((v) => ({ ...v, egcAwg: "14" })),
    });
    expect(find("code_compliant_grounding", thin).record).toContain("inverter I1");
  });
  test("is met only when every link of the path is verified by its own inspection, and one of them taken away unmakes it", () => {
    const seen = (check: Check, sectionId: string | null, inverterId: string | null = null) =>
      sampleInspection({ check, sectionId, inverterId, outcome: "pass" });
    const all = [
      ...["A", "B"].flatMap((id) => measuredLink(`section:${id}`, "ground_bus", "0.05")),
      ...["A", "B"].flatMap((id) => measuredLink(`section:${id}`, "inverter:I1", "0.05")),
      ...["A", "B"].map((id) => seen("all_metal_bonded", id)),
      ...measuredLink("inverter:I1", "ground_bus", "0.05"),
      seen("electrode_bonded", null),
    ];
    const met = find("code_compliant_grounding", sampleRecords({ inspections: all }));
    expect(met, met.says).toMatchObject({ state: "met", restores: null });
    expect(met.says).toContain("for the authority to say");
    const less = all.filter((row) => !(row.check === "all_metal_bonded" && row.sectionId === "B"));
    expect(find("code_compliant_grounding", sampleRecords({ inspections: less })).state).toBe("unknown");
  });
  test("one link measured is not the path", () => {
    const one = sampleRecords({ inspections: measuredLink("section:A", "ground_bus", "0.05") });
    expect(find("code_compliant_grounding", one).state).toBe("unknown");
  });
});

describe("licensed_installer", () => {
  test("rests on the paper alone: an inspector's licence is another person's", () => {
    const records = sampleRecords({ inspections: [sampleInspection({ inspector: "X", inspectorLicence: "L-1" })] });
    expect(find("licensed_installer", records).state).toBe("unknown");
    const papers = [{ kind: "installer_licence", fileName: "licence.pdf", page: 2 }];
    expect(find("licensed_installer", records, papers)).toMatchObject({
      state: "met",
      record: "paper licence.pdf, page 2",
    });
  });
});

describe("documented_repairs", () => {
  const of = (...repairs: SiteRecords["repairs"]) => find("documented_repairs", sampleRecords({ repairs }));
  test("is met by action and test on every repair, unknown where one says nothing, broken where one was not tested", () => {
    expect(of(repair({})).state).toBe("met");
    expect(of(repair({}), repair({ testedAfter: null })).state).toBe("unknown");
    expect(of(repair({ testedAfter: "none" }), repair({}))).toMatchObject({ state: "broken" });
    expect(of(repair({ cause: "none_found", testedAfter: null, action: null })).state).toBe("unknown");
    expect(of(repair({ repairedAt: atTime("2024-07-01T10:00:00Z") })).state).toBe("unknown");
  });
});
