import { describe, expect, test } from "vitest";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import { countBaseline } from "../../lib/diagnose/count-baseline.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import { bondingOutcome, type ConfirmingRecords, confirmedVisits } from "../../lib/diagnose/visit-outcomes.ts";

const at = (day: string) => ({ at: Date.parse(`${day}T06:00:00Z`), day, dayOnly: true });
const visits = (over: Partial<ConfirmingRecords>) =>
  confirmedVisits({ siteId: "S1", inspections: [], repairs: [], ...over }, DEFAULT_PARAMETERS);
const check = (
  day: string,
  name: ConfirmingRecords["inspections"][number]["check"],
  outcome: "pass" | "fail" | "unable",
) => ({
  inspectedAt: at(day),
  check: name,
  outcome,
  inspector: "A",
});
const stated = (over: Partial<Record<Cause, number>>) =>
  ({ ...Object.fromEntries(CAUSES.map((c) => [c, 0.05])), ...over }) as Record<Cause, number>;

describe("confirmedVisits", () => {
  test("confirmed yes is found, confirmed no was looked for, and neither says nothing", () => {
    const repairs: ConfirmingRecords["repairs"] = [
      { repairedAt: at("2026-05-01"), cause: "open_section_bond", confirmed: "yes" },
      { repairedAt: at("2026-05-01"), cause: "surge_damage", confirmed: "no" },
      { repairedAt: at("2026-05-02"), cause: "egc_broken", confirmed: null },
    ];
    expect(visits({ repairs })).toMatchObject([
      {
        day: "2026-05-01",
        found: ["open_section_bond"],
        lookedFor: ["open_section_bond", "surge_damage"],
        bondingFound: true,
      },
    ]);
  });
  test("a check settles only what it mostly finds; unable settles nothing", () => {
    expect(visits({ inspections: [check("2026-05-01", "egc_size", "fail")] })).toMatchObject([
      { found: ["egc_undersized"], lookedFor: ["egc_undersized"], inspectors: ["A"] },
    ]);
    expect(visits({ inspections: [check("2026-05-01", "electrode_depth", "fail")] })).toEqual([]);
    expect(visits({ inspections: [check("2026-05-01", "egc_size", "unable")] })).toEqual([]);
  });
  test("a failed check that several causes share tells that one is there, and not which", () => {
    const [visit] = visits({ inspections: [check("2026-05-01", "bond_resistance", "fail")] });
    expect(visit).toMatchObject({ found: [], lookedFor: [], bondingFound: true });
    const [passed] = visits({ inspections: [check("2026-05-01", "bond_resistance", "pass")] });
    expect(passed?.lookedFor).toEqual(["open_section_bond", "high_resistance_bond"]);
    expect(passed?.bondingFound).toBe(false);
  });
});

describe("bondingOutcome", () => {
  test("nothing found is an answer only where the likeliest cause was looked for", () => {
    const [visit] = visits({ inspections: [check("2026-05-01", "egc_size", "pass")] });
    if (!visit) throw new Error("no visit");
    expect(bondingOutcome(visit, stated({ egc_undersized: 0.4 }))).toBe(false);
    expect(bondingOutcome(visit, stated({ open_section_bond: 0.4 }))).toBeNull();
  });
});

describe("countBaseline", () => {
  test("states the others' share with one imaginary find and miss, worked by hand", () => {
    const sites = [
      { count: 0, found: false },
      { count: 0, found: false },
      { count: 5, found: true },
      { count: 7, found: true },
      { count: 9, found: false },
    ];
    // Group of none: of one other, none found: (0+1)/(1+2). Group of some: of two others, 1, 1 and 2 found.
    expect(countBaseline(sites, [1]).map((j) => j.p)).toEqual([1 / 3, 1 / 3, 2 / 4, 2 / 4, 3 / 4]);
    expect(() => countBaseline(sites, [2, 2])).toThrow(RangeError);
  });
});
