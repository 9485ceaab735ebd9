import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import { expit, logit } from "../../lib/core/statistics.ts";
import { findingWeights } from "../../lib/diagnose/findings.ts";
import { inspectorKey } from "../../lib/diagnose/inspector-key.ts";
import { type CheckedSite, judgedChecks } from "../../lib/diagnose/judged-checks.ts";
import { type JudgedCheck, learnChecks } from "../../lib/diagnose/learn-checks.ts";
import { withOverrides } from "../../lib/diagnose/parameter-overrides.ts";
import { DEFAULT_PARAMETERS, type ParameterTable, valuesOf } from "../../lib/diagnose/parameters.ts";
import { sampleInspection, sampleSection } from "../support/sample-site.ts";

const there = (presence: Partial<Record<Cause, number>>) => Float64Array.from(CAUSES, (c) => presence[c] ?? 0);
const check = (fails: boolean, p: number, inspector: string | null = null): JudgedCheck => ({
  check: "section_jumper",
  fails,
  inspector,
  presence: there({ open_section_bond: p }),
});
const value = (rows: ReturnType<typeof learnChecks>, key: string) =>
  rows.find((row) => row.key === key)?.value as number;
const SENS = "check.section_jumper.open_section_bond";
const ALARM = "check.section_jumper.falsePositive";

/** A table in which one row has a given value and spread, and the others of the check cannot move. */
const tableWith = (key: string, at: number, spread: number): ParameterTable => ({
  version: "test",
  rows: DEFAULT_PARAMETERS.rows.map((row) =>
    row.key === key
      ? { ...row, value: at, spread }
      : row.key.startsWith("check.section_jumper.")
        ? { ...row, spread: 0 }
        : row.key === "inspector.spread"
          ? { ...row, value: 0.6 }
          : row,
  ),
});

describe("learnChecks", () => {
  test("learns nothing from no check", () => {
    expect(learnChecks(DEFAULT_PARAMETERS, [])).toEqual([]);
  });

  // Where the cause is certainly absent every failure is a false alarm: a binomial share under a normal prior, whose
  // mode solves hits - n p - (logit p - logit p0) / s^2 = 0. Closed form of the score equation, no source needed.
  test("false alarms alone are the mode of a binomial share under a normal prior on its log odds", () => {
    const checks = Array.from({ length: 200 }, (_, i) => check(i < 30, 0));
    const p = value(learnChecks(tableWith(ALARM, 0.04, 0.5), checks), ALARM);
    expect(30 - 200 * p - (logit(p) - logit(0.04)) / 0.25).toBeCloseTo(0, 6);
  });

  test("with a vague prior and the cause certain, a check is as good as the share it found, chance set apart", () => {
    // P(fail) = 1 - (1 - a)(1 - s): with a = 0.04 a share of 0.52 is met by s = 0.5.
    const checks = Array.from({ length: 1000 }, (_, i) => check(i < 520, 1));
    expect(value(learnChecks(tableWith(SENS, 0.7, 50), checks), SENS)).toBeCloseTo(0.5, 3);
  });

  test("an inspector who overlooks moves down and one who finds moves up, and both stay near the fleet with few checks", () => {
    const rows = learnChecks(DEFAULT_PARAMETERS, [
      ...Array.from({ length: 30 }, () => check(false, 0.98, "blind")),
      ...Array.from({ length: 30 }, () => check(true, 0.98, "keen")),
      check(false, 0.98, "new"),
    ]);
    const shift = (name: string) => value(rows, inspectorKey(name, "sensitivity"));
    expect(shift("blind")).toBeLessThan(-0.5);
    expect(shift("keen")).toBeGreaterThan(0.2);
    expect(Math.abs(shift("new"))).toBeLessThan(0.3);
  });

  test("checks that nothing followed count too: confirming only after a failure does not flatter", () => {
    // 1,000 places, half with the cause; the check finds 40 % of them; only a failed check is ever followed by a repair.
    const rng = seededRng("verification");
    const open = { version: "vague", rows: tableWith(SENS, 0.7, 50).rows };
    const checks = Array.from({ length: 1000 }, () => {
      const has = rng() < 0.5;
      const fails = rng() < (has ? 1 - 0.6 * 0.96 : 0.04);
      return check(fails, fails ? (has ? 1 : 0) : 0.5);
    });
    const followed = checks.filter(({ fails }) => fails);
    expect(value(learnChecks(open, checks), SENS)).toBeGreaterThan(0.3);
    expect(value(learnChecks(open, checks), SENS)).toBeLessThan(0.5);
    expect(value(learnChecks(open, followed), SENS)).toBeGreaterThan(0.95);
  });
});

describe("an inspector's skill in a score", () => {
  test("a pass by one who overlooks is weaker evidence than a pass by anybody else", () => {
    const table = withOverrides(
      DEFAULT_PARAMETERS,
      {
        [inspectorKey("blind", "sensitivity")]: {
          value: -1.5,
          spread: 0.2,
          provenance: { kind: "judgement", source: "test" },
        },
      },
      "with-blind",
    );
    const weight = (inspector: string | null) =>
      findingWeights(
        {
          source: "checklist",
          group: "section_jumper",
          at: 0,
          sectionId: null,
          inverterId: null,
          says: "",
          weigh: { kind: "check", check: "section_jumper", fails: false, inspector },
        },
        valuesOf(table),
      )[CAUSES.indexOf("open_section_bond")] as number;
    expect(weight(null)).toBeCloseTo(Math.log(1 - 0.7), 12);
    expect(weight("blind")).toBeCloseTo(Math.log(1 - expit(logit(0.7) - 1.5)), 12);
    expect(weight("other")).toBe(weight(null));
  });
});

describe("judgedChecks", () => {
  const at = (day: string) => ({ at: Date.parse(`${day}T12:00:00Z`), day, dayOnly: false });
  const site = (over: Partial<CheckedSite> = {}): CheckedSite => ({
    siteId: "S",
    sections: [sampleSection({ sectionId: "A" }), sampleSection({ sectionId: "B" })],
    inspections: [
      sampleInspection({
        check: "section_jumper",
        outcome: "pass",
        sectionId: "A",
        inspectedAt: at("2026-03-01"),
        value: null,
        unit: null,
      }),
    ],
    repairs: [],
    ...over,
  });
  const stated = () => Object.fromEntries(CAUSES.map((c) => [c, 0.4])) as Record<Cause, number>;
  const presence = (own: CheckedSite) =>
    judgedChecks(own, stated)[0]?.presence[CAUSES.indexOf("open_section_bond")] as number;
  const repaired = (day: string, confirmed: "yes" | "no", sectionId: string | null) => ({
    cause: "open_section_bond" as const,
    confirmed,
    sectionId,
    repairedAt: at(day),
  });

  test("with nothing after it, a place has its share of what was stated of the site", () => {
    expect(presence(site())).toBeCloseTo(0.2, 12);
  });
  test("a repair that confirms it there makes it near certain, one elsewhere near impossible", () => {
    expect(presence(site({ repairs: [repaired("2026-05-01", "yes", "A")] }))).toBeCloseTo(0.98, 12);
    expect(presence(site({ repairs: [repaired("2026-05-01", "yes", "B")] }))).toBeCloseTo(0.02, 12);
  });
  test("one that ruled it out lowers it, one from before the check or years after says nothing", () => {
    expect(presence(site({ repairs: [repaired("2026-05-01", "no", null)] }))).toBeCloseTo(0.03 / 0.83, 12);
    expect(presence(site({ repairs: [repaired("2026-02-01", "yes", "A")] }))).toBeCloseTo(0.2, 12);
    expect(presence(site({ repairs: [repaired("2028-05-01", "yes", "A")] }))).toBeCloseTo(0.2, 12);
  });
  test("what was not stated before, and what could not be checked, teaches nothing", () => {
    expect(judgedChecks(site(), () => null)).toEqual([]);
    const unable = site();
    const [inspection] = unable.inspections;
    expect(judgedChecks({ ...unable, inspections: [{ ...inspection, outcome: "unable" } as never] }, stated)).toEqual(
      [],
    );
  });
});
