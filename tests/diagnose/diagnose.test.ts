import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { normalDeviate, poissonDeviate, seededRng } from "../../lib/core/random.ts";
import { BONDING_CAUSES, CAUSES, type Check } from "../../lib/core/records.ts";
import { decibans, logit } from "../../lib/core/statistics.ts";
import { CONFIGURATIONS, causeBit } from "../../lib/diagnose/configurations.ts";
import { energizedProbability } from "../../lib/diagnose/energized-metal.ts";
import { eventSummary } from "../../lib/diagnose/event-summary.ts";
import { DEFAULT_PARAMETERS, valuesOf } from "../../lib/diagnose/parameters.ts";
import type { WeatherState } from "../../lib/weather/weather-state.ts";
import {
  AS_OF,
  check,
  correlation,
  episode,
  FROM,
  HOURS,
  many,
  plain,
  run,
  twoSections,
} from "../support/diagnosis-cases.ts";
import { sampleInverter, sampleRecords, sampleSite } from "../support/sample-site.ts";

const finding = fc.record({
  check: fc.constantFrom<Check>(
    "section_jumper",
    "egc_continuous",
    "electrode_bonded",
    "bare_metal_contact",
    "connector_condition",
    "conductor_condition",
  ),
  outcome: fc.constantFrom<"pass" | "fail" | "unable">("pass", "fail", "unable"),
  section: fc.constantFrom("A", "B", null),
  day: fc.integer({ min: 0, max: 600 }),
});
const states = fc.array(fc.tuple(fc.constantFrom<WeatherState>("rain", "dew", "dry", "hot", "thunder"), fc.boolean()), {
  maxLength: 25,
});

function anySite(
  findings: { check: Check; outcome: "pass" | "fail" | "unable"; section: string | null; day: number }[],
  events: [WeatherState, boolean][],
) {
  const at = (day: number) => ({
    at: FROM + day * 86_400_000,
    day: new Date(FROM + day * 86_400_000).toISOString().slice(0, 10),
    dayOnly: true,
  });
  const inspections = findings.map((f) => check(f.check, f.outcome, { sectionId: f.section, inspectedAt: at(f.day) }));
  return {
    records: { ...twoSections(), inspections },
    c: correlation(events.map(([state, cleared], i) => episode(state, i, { clearedOnDrying: cleared }))),
  };
}

describe("diagnose", () => {
  test("decibans sum to the log odds of the probability exactly, and every probability is inside its band", () => {
    fc.assert(
      fc.property(fc.array(finding, { maxLength: 8 }), states, (findings, events) => {
        const { records, c } = anySite(findings, events);
        const d = run(records, c, 6);
        const sum = d.evidence.reduce((total, e) => total + e.decibans, 0);
        expect(Math.abs(sum - decibans(logit(d.bondingDefect.p)))).toBeLessThan(1e-6);
        expect(d.evidence.filter((e) => e.source === "prior")).toHaveLength(1);
        const causes = CAUSES.map((cause) => ({ p: d.causes[cause], ...d.causeBands[cause] }));
        for (const b of [d.bondingDefect, d.energizedMetal, ...causes]) {
          expect(b.low).toBeLessThanOrEqual(b.p);
          expect(b.high).toBeGreaterThanOrEqual(b.p);
          expect(b.low).toBeGreaterThanOrEqual(0);
          expect(b.high).toBeLessThanOrEqual(1);
        }
        for (const cause of CAUSES) expect(d.causes[cause]).toBeLessThanOrEqual(1);
        expect(d.energizedMetal.p).toBeLessThanOrEqual(d.bondingDefect.p + 1e-9);
        expect(JSON.stringify(d)).not.toMatch(/NaN|null/);
      }),
      { numRuns: 40 },
    );
  });

  test("does not depend on the order of the records", () => {
    fc.assert(
      fc.property(fc.uniqueArray(finding, { maxLength: 6, selector: (f) => `${f.check}${f.section}` }), (findings) => {
        const forward = run(anySite(findings, []).records, correlation([]));
        const backward = run(anySite([...findings].reverse(), []).records, correlation([]));
        expect(backward.bondingDefect.p).toBeCloseTo(forward.bondingDefect.p, 9);
      }),
      { numRuns: 30 },
    );
  });

  test("an `unable` changes no probability, a failed bond check never lowers the bonding probability, a pass never raises its cause", () => {
    fc.assert(
      fc.property(fc.array(finding, { maxLength: 5 }), states, (findings, events) => {
        const { records, c } = anySite(findings, events);
        const base = run(records, c);
        const plus = (outcome: "pass" | "fail" | "unable") =>
          run(
            {
              ...records,
              inspections: [
                ...records.inspections,
                check("section_jumper", outcome, {
                  sectionId: "A",
                  inspectedAt: { at: AS_OF - 1, day: "2026-09-30", dayOnly: false },
                }),
              ],
            },
            c,
          );
        expect(plus("unable").bondingDefect.p).toBeCloseTo(base.bondingDefect.p, 12);
        if (!findings.some((f) => f.check === "section_jumper")) {
          expect(plus("fail").bondingDefect.p).toBeGreaterThanOrEqual(base.bondingDefect.p - 1e-9);
          expect(plus("pass").causes.open_section_bond).toBeLessThanOrEqual(base.causes.open_section_bond + 1e-9);
        }
      }),
      { numRuns: 40 },
    );
  });

  test("records after the instant of the score are not used", () => {
    const late = check("section_jumper", "fail", { inspectedAt: { at: AS_OF + 1, day: "2026-10-02", dayOnly: false } });
    expect(run({ ...plain(), inspections: [late] }, correlation([])).bondingDefect).toEqual(
      run(plain(), correlation([])).bondingDefect,
    );
  });

  test("a defect alone is silent: without a leak the metal is far less likely energised than the bond is open, with trips more", () => {
    const jumper = [
      check("section_jumper", "fail", { sectionId: "A" }),
      check("all_metal_bonded", "fail", { sectionId: "A" }),
    ];
    const quiet = run({ ...twoSections(), inspections: jumper }, correlation([]));
    expect(quiet.bondingDefect.p).toBeGreaterThan(0.8);
    expect(quiet.energizedMetal.p).toBeLessThan(0.3);
    const recent = many(6, "rain", { clearedOnDrying: true, hoursSinceRain: 0 }, 60);
    expect(run({ ...twoSections(), inspections: jumper }, correlation(recent)).energizedMetal.p).toBeGreaterThan(
      quiet.energizedMetal.p * 1.5,
    );
  });

  test("where a bond was never verified, ground-fault episodes by themselves make its metal possibly energised, each a little more", () => {
    // The belief in the causes is held fixed: only what the episodes say of a leak is looked at.
    const values = valuesOf(DEFAULT_PARAMETERS);
    const believed = Float64Array.from(CONFIGURATIONS, (mask) => (mask === causeBit("open_section_bond") ? 0.3 : 0));
    believed[CONFIGURATIONS.indexOf(0)] = 0.7;
    const at = (episodes: number) => {
      const c = correlation(many(episodes, "dry", {}, 70));
      return energizedProbability(believed, eventSummary(twoSections(), c, AS_OF), values);
    };
    const [none, one, three] = [at(0), at(1), at(3)] as const;
    expect(none).toBeGreaterThan(0);
    expect(one).toBeGreaterThan(none * 2);
    expect(three).toBeGreaterThan(one * 1.5);
    // Never more than the chance that the bond is open at all.
    expect(at(30)).toBeLessThanOrEqual(0.3);
  });

  test("counts drawn from its own rates are, on average over sites, believed as often as they are true", () => {
    // A check of calibration inside the model: truth, severity, background, silence and dawn share drawn as it says.
    const rng = seededRng("calibration");
    const values = new Map(DEFAULT_PARAMETERS.rows.map((r) => [r.key, r.value]));
    let believed = 0;
    let present = 0;
    const sites = 400;
    for (let i = 0; i < sites; i++) {
      const causes = CAUSES.filter((c) => rng() < (values.get(`prior.${c}`) as number));
      const severity = Math.exp((values.get("severity.spread") as number) * normalDeviate(rng));
      const background = Math.exp((values.get("background.spread") as number) * normalDeviate(rng));
      const silent = rng() < (values.get("silent.bonding") as number);
      const loud = causes.filter((c) => !silent || !(BONDING_CAUSES as readonly string[]).includes(c));
      const episodes = (["dry", "hot", "rain", "dew", "thunder"] as const).flatMap((state) => {
        const rate = (name: string) => (values.get(`rate.${name}.${state}`) as number) / 1000;
        const mean =
          (HOURS[state] as number) *
          (background * rate("background") + severity * loud.reduce((sum, c) => sum + rate(c), 0));
        return many(poissonDeviate(rng, mean), state).map((e) => ({ ...e, atDawn: rng() < 0.13 }));
      });
      // Attributes that say nothing: one section, nothing recorded of its hardware.
      const records = sampleRecords({
        site: sampleSite({ commissionedOn: null, nearCoast: null, separateArrayElectrode: null, battery: null }),
        inverters: [sampleInverter({ inverterId: "I1", egcAwg: null })],
        sections: [],
      });
      believed += run(records, correlation(episodes)).bondingDefect.p;
      if (causes.some((c) => (BONDING_CAUSES as readonly string[]).includes(c))) present++;
    }
    expect(Math.abs(believed - present) / sites).toBeLessThan(0.06);
  });
});

describe("DEFAULT_PARAMETERS", () => {
  test("every row has a unit, a possible value and spread, and says where it comes from", () => {
    const keys = new Set<string>();
    for (const r of DEFAULT_PARAMETERS.rows) {
      expect(keys.has(r.key), r.key).toBe(false);
      keys.add(r.key);
      expect(r.provenance.source.length, r.key).toBeGreaterThan(10);
      expect(r.spread, r.key).toBeGreaterThanOrEqual(0);
      if (r.unit === "probability") expect(r.value > 0 && r.value < 1, r.key).toBe(true);
      else if (r.unit !== "log odds") expect(r.value, r.key).toBeGreaterThan(0);
    }
  });
});
