import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { SiteRecords } from "../../lib/core/records.ts";
import { WALK } from "../../lib/grounding/check-catalogue.ts";
import { checklistFor } from "../../lib/visit/checklist.ts";
import { anyCauses, anyRecords, listOf } from "../support/any-records.ts";
import {
  AS_OF,
  sampleCorrelation,
  sampleDiagnosis,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

describe("checklistFor", () => {
  test("every item carries what it is, what to accept, a rule, and the cautions that always hold", () => {
    fc.assert(
      fc.property(anyRecords, anyCauses, (records, causes) => {
        const list = listOf(records, causes);
        expect(list.items.length).toBeGreaterThan(0);
        for (const item of list.items) {
          expect(item.says && item.accept && item.why.length > 0).toBeTruthy();
          expect(item.codeReference).toMatch(/NEC \d+/);
          expect(item.caution).toContain("Treat all metal as live");
          expect(item.caution).toContain("stay live while there is light");
        }
        const keys = list.items.map((item) => [item.check, item.place, item.sectionId, item.inverterId].join("|"));
        expect(new Set(keys).size).toBe(keys.length);
        expect(list.hoursOnSite * 60).toBeGreaterThanOrEqual(list.items.reduce((sum, item) => sum + item.minutes, 0));
      }),
      { numRuns: 100 },
    );
  });

  test("the order is that of the walk, and at each place a voltage reading comes before everything else", () => {
    fc.assert(
      fc.property(anyRecords, anyCauses, (records, causes) => {
        const { items } = listOf(records, causes);
        const walked = items.map((item) => WALK.indexOf(item.place));
        expect(walked).toEqual([...walked].sort((a, b) => a - b));
        const measured = new Set<string>();
        for (const item of items) {
          const key = `${item.place} ${item.sectionId} ${item.inverterId}`;
          if (item.check === "section_potential") measured.add(key);
          else if (item.sectionId !== null) expect(measured).toContain(key);
        }
        if (items.some((item) => item.place === "ground")) expect(items[0]?.check).toBe("section_potential");
      }),
      { numRuns: 100 },
    );
  });

  test("verified links drop out, failed and leading ones stay in", () => {
    const seen = sampleInspection({ check: "section_jumper", sectionId: "A", outcome: "pass" });
    const has = (records: SiteRecords, causes = {}) =>
      listOf(records, causes).items.some((item) => item.check === "section_jumper" && item.sectionId === "A");
    expect(has(sampleRecords())).toBe(true);
    expect(has(sampleRecords({ inspections: [seen] }))).toBe(false);
    expect(has(sampleRecords({ inspections: [{ ...seen, outcome: "fail" }] }))).toBe(true);
    expect(has(sampleRecords({ inspections: [seen] }), { open_section_bond: 0.4 })).toBe(true);
  });

  // Common practice, no source: the mistakes that a visit must be able to catch.
  test.each([
    ["coating not removed at a bond", "bare_metal_contact", { high_resistance_bond: 0.3 }, {}],
    ["wrong conductor size", "egc_size", { egc_undersized: 0.3 }, {}],
    ["unlisted hardware or a plain screw", "listed_hardware", {}, { hardwareListed: "unknown" }],
    ["metal left out", "all_metal_bonded", {}, {}],
    ["inverter ground not tied to the service ground", "inverter_ground_terminal", {}, {}],
    ["sections never bonded together", "section_jumper", {}, { bondedTo: null, egcAwg: null }],
  ] as const)("%s is looked for by %s", (_, check, causes, section) => {
    const { items } = listOf(sampleRecords({ sections: [sampleSection(section)] }), causes);
    expect(items.map((item) => item.check)).toContain(check);
  });

  test("trips that follow the wet or thunder bring their own checks", () => {
    const checksWith = (driver: "rain" | "thunder" | "none") => {
      const base = sampleCorrelation();
      const correlation = { ...base, weather: { ...base.weather, driver } };
      const list = checklistFor({ records: sampleRecords(), diagnosis: sampleDiagnosis(), correlation, asOf: AS_OF });
      return list.items.map((item) => item.check);
    };
    expect(checksWith("rain")).toContain("enclosure_dry");
    expect(checksWith("thunder")).toContain("surge_protection");
    expect(checksWith("none")).not.toContain("enclosure_dry");
  });

  test("acceptance is this site's own", () => {
    const records = sampleRecords({ inverters: [sampleInverter({ egcAwg: null, maxDcV: 400 })] });
    const { items } = listOf(records, { module_insulation: 0.5, egc_undersized: 0.5 });
    expect(items.find((item) => item.check === "insulation_resistance")?.accept).toBe(
      "At least 1 Mohm at a test voltage of 500 V.",
    );
    // 9.5 A x 2 strings x 1.5625 = 29.7 A: 10 AWG copper by Table 250.122.
    expect(items.find((item) => item.check === "egc_size" && item.sectionId === "A")?.accept).toBe(
      "At least 10 AWG copper.",
    );
  });

  test("a ground-mounted array asks for no roof skill and no fall protection", () => {
    const list = listOf(sampleRecords({ site: sampleSite({ mounting: "ground" }) }));
    expect(list.skills).toEqual(["electrician"]);
    expect(list.items.some((item) => item.caution.includes("fall protection"))).toBe(false);
    const roof = listOf(sampleRecords());
    expect(roof.skills).toEqual(["electrician", "roof"]);
    for (const item of roof.items.filter((each) => each.place === "roof"))
      expect(item.caution).toContain("fall protection");
  });
});
