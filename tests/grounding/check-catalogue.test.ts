import { describe, expect, test } from "vitest";
import { CHECKS } from "../../lib/core/records.ts";
import { CAUTIONS } from "../../lib/grounding/cautions.ts";
import { CHECK_CATALOGUE, WALK } from "../../lib/grounding/check-catalogue.ts";
import { codeReference } from "../../lib/grounding/code-reference.ts";

describe("CHECK_CATALOGUE", () => {
  test("every check says what to do, what to accept, where, how long and what to photograph", () => {
    for (const check of CHECKS) {
      const entry = CHECK_CATALOGUE[check];
      for (const text of [entry.title, entry.says, entry.accept, entry.photo]) expect(text.length).toBeGreaterThan(3);
      expect(WALK).toContain(entry.place);
      expect(entry.minutes).toBeGreaterThan(0);
      expect(entry.cautions.length).toBeGreaterThan(0);
    }
  });

  test("every check of resistance on bonds and electrodes asks for voltage first", () => {
    for (const check of ["bond_resistance", "egc_continuous", "electrode_resistance"] as const) {
      expect(CHECK_CATALOGUE[check].cautions).toContain("voltage_before_resistance");
    }
  });

  // Rapid shutdown (690.12) is a separate matter and never counts as grounding evidence.
  test("rapid shutdown is no check and is cited nowhere", () => {
    expect(CHECKS.some((check) => /shutdown/.test(check))).toBe(false);
    for (const check of CHECKS) {
      for (const edition of ["2014", "2017", "2020", "2023", null])
        expect(codeReference(check, edition)).not.toContain("690.12");
      expect(JSON.stringify(CHECK_CATALOGUE[check])).not.toMatch(/rapid|690\.12/i);
    }
  });
});

describe("CAUTIONS", () => {
  const all = Object.values(CAUTIONS).join(" ");
  test.each([
    [/stops AC and inverter current only/],
    [/Module-side conductors, and any metal they touch, stay live/],
    [/Treat all metal as live/],
    [/measure AC and DC from it to ground and to its neighbour with a meter proven/],
    [/Stop the inverter, then open and lock the AC side, then the DC side/],
    [/live-dead-live/],
    [/Never unplug a connector or open a circuit under load/],
    [/Never open a bond, an equipment grounding conductor or a grounding electrode conductor/],
    [/qualified person may, under a written procedure, with a bypass bond fitted first/],
    [/wet, frosted or windy roof/],
    [/fall protection/],
    [/Two people/],
    [/qualified person/],
    [/local authority having jurisdiction decides/],
    [/electrode stays connected/],
    [/Nobody wets an array/],
    [/Do not reset a ground fault/],
  ])("hold %s", (pattern) => {
    expect(all).toMatch(pattern);
  });
});

describe("codeReference", () => {
  test("cites by the site's edition", () => {
    // Renumbering of 250.53(G) to (A)(4) in 2020 and 690.5 to 690.41(B) in 2017: from memory.
    expect(codeReference("electrode_depth", "2017")).toBe("NEC 250.53(G) (2017)");
    expect(codeReference("electrode_depth", "2020")).toBe("NEC 250.53(A)(4) (2020)");
    expect(codeReference("insulation_resistance", "2014")).toBe("NEC 690.5 (2014)");
    expect(codeReference("insulation_resistance", "2023")).toBe("NEC 690.41(B) (2023)");
  });
  test("names the local authority's edition where the site's is not known or not loaded", () => {
    for (const edition of [null, "2026"]) {
      for (const check of CHECKS)
        expect(codeReference(check, edition)).toContain("edition in force at the local authority");
    }
  });
});
