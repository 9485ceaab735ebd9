import { describe, expect, test } from "vitest";
import { NEC_EDITIONS } from "../../lib/core/records.ts";
import {
  ALUMINUM_CLEAR_IN,
  type InstallationRule,
  type InstalledConductor,
  installationRules,
} from "../../lib/grounding/installation-rules.ts";

function rulesOf(edition: string, conductor: Partial<InstalledConductor>): InstallationRule[] {
  const found = installationRules(edition, { role: "egc", size: "8", material: "copper", ...conductor });
  if (!Array.isArray(found)) throw new Error("edition is loaded");
  return found;
}
const named = (rules: InstallationRule[], what: InstallationRule["what"]) => rules.find((each) => each.what === what);

describe("installationRules", () => {
  // GEC: 250.64(B), a trade quiz on the 2023 edition. EGC: 250.120(C), from memory (high).
  test("a conductor thinner than 6 AWG asks for protection, 6 AWG and thicker does not", () => {
    for (const edition of NEC_EDITIONS) {
      for (const [role, rule] of [
        ["gec", "250.64(B)"],
        ["egc", "250.120(C)"],
      ] as const) {
        for (const size of ["8", "10", "14"])
          expect(named(rulesOf(edition, { role, size }), "protection")?.rule).toBe(`NEC ${rule} (${edition})`);
        for (const size of ["6", "4", "1/0"])
          expect(named(rulesOf(edition, { role, size }), "protection")).toBeUndefined();
      }
    }
  });

  // 250.64(C): three copies. 250.64(E)(1): a trade quiz. An EGC may be spliced freely.
  test("a GEC is one length or joined for good, an EGC is not asked that", () => {
    expect(named(rulesOf("2020", { role: "gec" }), "one_length")).toMatchObject({ rule: "NEC 250.64(C) (2020)" });
    expect(named(rulesOf("2020", { role: "gec" }), "raceway_ends")).toMatchObject({ rule: "NEC 250.64(E)(1) (2020)" });
    expect(named(rulesOf("2020", { role: "egc" }), "one_length")).toBeUndefined();
  });

  // 250.64(A) and 250.120(B), forum copies of the base wording: bare aluminum not on masonry or earth, 18 in (450 mm).
  test("aluminum keeps clear of earth and masonry by 18 in, copper is not asked, unknown keeps the condition", () => {
    expect(ALUMINUM_CLEAR_IN * 25.4).toBeCloseTo(457.2, 6);
    expect(named(rulesOf("2017", { material: "aluminum" }), "clear_of_earth")).toMatchObject({
      rule: "NEC 250.120(B) (2017)",
      asks: expect.stringContaining("18 in"),
    });
    expect(named(rulesOf("2017", { role: "gec", material: "aluminum" }), "clear_of_earth")?.rule).toContain(
      "250.64(A)",
    );
    expect(named(rulesOf("2017", { material: "copper" }), "clear_of_earth")).toBeUndefined();
    expect(named(rulesOf("2017", { material: null }), "clear_of_earth")?.asks).toMatch(/^Where it is aluminum/);
  });

  // 250.119, from memory (high): 4 AWG and larger may be re-identified at ends and accessible points; 6 AWG and smaller
  // must be made so.
  test.each([
    ["10", /will not do/],
    ["6", /will not do/],
    ["4", /or marked green/],
    ["1/0", /or marked green/],
  ])("an EGC of %s AWG is identified as its size allows", (size, pattern) => {
    expect(named(rulesOf("2017", { size }), "identification")?.asks).toMatch(pattern);
    expect(named(rulesOf("2017", { role: "gec", size }), "identification")).toBeUndefined();
  });

  test("an unknown size and a size that is not made keep the condition", () => {
    for (const size of [null, "7"]) {
      expect(named(rulesOf("2023", { size }), "protection")?.asks).toMatch(/^Where it is thinner than 6 AWG/);
      expect(named(rulesOf("2023", { size }), "identification")?.asks).toContain("where it is 4 AWG or thicker");
    }
  });

  test.each([null, "2026"])("edition %s is refused by value, never guessed", (edition) => {
    expect(installationRules(edition, { role: "gec", size: "6", material: null })).toEqual({
      kind: "edition_not_loaded",
      edition,
    });
  });
});
