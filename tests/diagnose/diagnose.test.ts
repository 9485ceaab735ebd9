import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { normalDeviate, poissonDeviate, seededRng } from "../../lib/core/random.ts";
import { BONDING_CAUSES, CAUSES, type Cause, type Check, type SiteRecords } from "../../lib/core/records.ts";
import { decibans, logit } from "../../lib/core/statistics.ts";
import type { EpisodeInWeather, SiteCorrelation } from "../../lib/correlate/site-correlation.ts";
import { diagnose } from "../../lib/diagnose/diagnose.ts";
import type { Diagnosis } from "../../lib/diagnose/diagnosis.ts";
import { DEFAULT_PARAMETERS } from "../../lib/diagnose/parameters.ts";
import type { WeatherState } from "../../lib/weather/weather-state.ts";
import {
  sampleCorrelation,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleSection,
  sampleSite,
} from "../support/sample-site.ts";

const AS_OF = Date.UTC(2026, 9, 1);
const FROM = AS_OF - 730 * 86_400_000;
const HOURS: Partial<Record<WeatherState, number>> = { dry: 3600, hot: 1400, rain: 1500, dew: 500, thunder: 160 };

function episode(state: WeatherState, i: number, over: Partial<EpisodeInWeather> = {}): EpisodeInWeather {
  return {
    unitId: "I1",
    inverterIds: ["I1"],
    onset: FROM + (i + 1) * 9 * 86_400_000 + (i % 5) * 3_600_000,
    end: null,
    rows: 2,
    censored: null,
    resetBy: "auto",
    closedAs: "self_cleared",
    state,
    rainFilmMm: state === "rain" ? 0.6 : 0,
    dewFilmMm: state === "dew" ? 0.2 : 0,
    atRisk: true,
    clearedOnDrying: null,
    hoursSinceRain: null,
    atDawn: false,
    ...over,
  };
}

/** Two years of hours at risk and the episodes given. */
function correlation(episodes: EpisodeInWeather[], over: Partial<SiteCorrelation> = {}): SiteCorrelation {
  const base = sampleCorrelation();
  for (const [state, unitHours] of Object.entries(HOURS)) {
    base.byState[state as WeatherState] = { unitHours, episodes: episodes.filter((e) => e.state === state).length };
  }
  const unitHours = { ...Object.fromEntries(Object.keys(base.byState).map((s) => [s, 0])), ...HOURS } as Record<
    WeatherState,
    number
  >;
  return {
    ...base,
    episodes,
    window: { from: FROM, to: AS_OF },
    exposureByMonth: [{ from: FROM, to: AS_OF, unitHours }],
    overdispersion: 1,
    ...over,
  };
}

const many = (n: number, state: WeatherState, over: Partial<EpisodeInWeather> = {}, from = 0) =>
  Array.from({ length: n }, (_, i) => episode(state, from + i, over));
const run = (records: SiteRecords, c: SiteCorrelation, draws = 0) =>
  diagnose({ records, correlation: c, asOf: AS_OF }, DEFAULT_PARAMETERS, { draws, rng: seededRng("test") });
const leading = (d: Diagnosis) => [...CAUSES].sort((a, b) => d.causes[b] - d.causes[a])[0] as Cause;

const twoSections = (bondedTo: string | null = null) =>
  sampleRecords({
    inverters: [sampleInverter({ inverterId: "I1" }), sampleInverter({ inverterId: "I2" })],
    sections: [
      sampleSection({ sectionId: "A", inverterId: "I1", bondedTo }),
      sampleSection({ sectionId: "B", inverterId: "I2", bondedTo }),
    ],
  });
const plain = () =>
  sampleRecords({
    inverters: [sampleInverter({ inverterId: "I1" })],
    sections: [sampleSection({ sectionId: "A", inverterId: "I1", bondedTo: "bus" })],
  });
const check = (name: Check, outcome: "pass" | "fail" | "unable", over = {}) =>
  sampleInspection({
    check: name,
    outcome,
    value: null,
    unit: null,
    quantity: null,
    method: null,
    pointA: null,
    pointB: null,
    sectionId: null,
    inverterId: null,
    ...over,
  });

describe("diagnose on planted cases", () => {
  test("rain trips of both inverters that clear on drying, sections never bonded: an open section bond leads", () => {
    const d = run(
      twoSections(),
      correlation(many(14, "rain", { inverterIds: ["I1", "I2"], clearedOnDrying: true, hoursSinceRain: 0 })),
    );
    expect(leading(d)).toBe("open_section_bond");
    expect(d.bondingDefect.p).toBeGreaterThan(0.6);
  });

  test("trips two to eight hours after rain on one inverter: water in a connector is likelier than any bond", () => {
    const d = run(
      plain(),
      correlation([
        ...many(8, "rain", { hoursSinceRain: 4, clearedOnDrying: false }),
        ...many(4, "dew", { hoursSinceRain: 7 }, 8),
      ]),
    );
    expect(["connector_ingress", "conductor_insulation"]).toContain(leading(d));
    expect(d.causes.connector_ingress).toBeGreaterThan(Math.max(...BONDING_CAUSES.map((c) => d.causes[c])));
  });

  test("dew at dawn: module insulation leads", () => {
    const d = run(
      plain(),
      correlation([...many(9, "dew", { atDawn: true }), ...many(3, "rain", { hoursSinceRain: 0 }, 9)]),
    );
    expect(leading(d)).toBe("module_insulation");
  });

  test("trips in proportion to the hours, whatever the weather: the detector leads and bonding stays unlikely", () => {
    const d = run(
      plain(),
      correlation([
        ...many(14, "dry"),
        ...many(6, "hot", {}, 14),
        ...many(6, "rain", { clearedOnDrying: false }, 20),
        ...many(2, "dew", {}, 26),
      ]),
    );
    expect(leading(d)).toBe("detector_fault");
    expect(d.bondingDefect.p).toBeLessThan(0.3);
  });

  test("trips with thunder: surge damage leads", () => {
    const d = run(plain(), correlation([...many(6, "thunder"), ...many(3, "dry", {}, 6)]));
    expect(["surge_damage", "isolated_electrode"]).toContain(leading(d));
    expect(d.causes.surge_damage).toBeGreaterThan(0.2);
  });

  test("an undersized conductor never trips: only an inspection finds it, and a site never inspected says so", () => {
    const silent = run(plain(), correlation([]));
    expect(silent.gaps.map((g) => g.what)).toContain("inspection");
    const seen = { ...plain(), inspections: [check("egc_size", "fail", { inverterId: "I1" })] };
    const found = run(seen, correlation([]));
    expect(leading(found)).toBe("egc_undersized");
    expect(found.causes.egc_undersized).toBeGreaterThan(3 * silent.causes.egc_undersized);
  });

  test("common practice, no source: about one volt between sections never bonded and trips whenever it rains", () => {
    const volt = sampleInspection({
      check: "section_potential",
      outcome: "pass",
      value: "1.0",
      unit: "volt",
      quantity: "ac_rms",
      sectionId: "A",
      pointA: "section:A",
      pointB: "section:B",
      surface: "dry",
    });
    const rain = correlation(many(12, "rain", { inverterIds: ["I1", "I2"], clearedOnDrying: true, hoursSinceRain: 0 }));
    const d = run({ ...twoSections(), inspections: [volt] }, rain);
    expect(["open_section_bond", "high_resistance_bond"]).toContain(leading(d));
    expect(d.bondingDefect.p).toBeGreaterThan(run(twoSections(), rain).bondingDefect.p * 0.95);
  });

  test("a low reading between sections is not reassurance beyond what a miss allows", () => {
    const low = (surface: "dry" | "wet") => ({
      ...twoSections(),
      inspections: [
        sampleInspection({
          check: "section_potential",
          outcome: "pass",
          value: "0.2",
          unit: "volt",
          quantity: "ac_rms",
          sectionId: "A",
          surface,
        }),
      ],
    });
    const before = run(twoSections(), correlation([])).causes.open_section_bond;
    const dry = run(low("dry"), correlation([])).causes.open_section_bond;
    expect(dry).toBeGreaterThan(0.3 * before);
    expect(run(low("wet"), correlation([])).causes.open_section_bond).toBeLessThan(dry);
  });

  test("a repair of the wrong cause: trips that go on keep the bond likely", () => {
    const wet = many(14, "rain", { inverterIds: ["I1", "I2"], clearedOnDrying: true, hoursSinceRain: 0 });
    const repaired = { at: FROM + 60 * 86_400_000, day: "2024-12-01", dayOnly: true };
    const wrong = {
      ...twoSections(),
      repairs: [
        {
          siteId: "S1",
          repairedAt: repaired,
          cause: "connector_ingress" as const,
          sectionId: null,
          inverterId: null,
          action: null,
          confirmed: "no" as const,
          testedAfter: "none" as const,
        },
      ],
    };
    const d = run(wrong, correlation(wet));
    expect(d.bondingDefect.p).toBeGreaterThan(0.5);
    expect(d.causes.connector_ingress).toBeLessThan(d.causes.open_section_bond);
  });

  test("a confirmed and tested repair with quiet wet hours after it lowers that cause; without a later trip it is not called gone", () => {
    const at = { at: FROM + 365 * 86_400_000, day: "2025-10-01", dayOnly: true };
    const wet = many(14, "rain", { inverterIds: ["I1", "I2"], clearedOnDrying: true, hoursSinceRain: 0 });
    const fixed = {
      ...twoSections(),
      repairs: [
        {
          siteId: "S1",
          repairedAt: at,
          cause: "open_section_bond" as const,
          sectionId: null,
          inverterId: null,
          action: null,
          confirmed: "yes" as const,
          testedAfter: "both" as const,
        },
      ],
    };
    const d = run(fixed, correlation(wet));
    expect(d.causes.open_section_bond).toBeLessThan(0.1);
    expect(d.causes.open_section_bond).toBeGreaterThan(0);
  });

  test("mending one section does not clear another, and a repair that nobody confirmed forgets no finding", () => {
    const failed = [check("section_jumper", "fail", { sectionId: "B" })];
    const repair = (sectionId: string | null, confirmed: "yes" | "no") => ({
      siteId: "S1",
      repairedAt: { at: AS_OF - 86_400_000, day: "2026-09-30", dayOnly: true },
      cause: "open_section_bond" as const,
      sectionId,
      inverterId: null,
      action: null,
      confirmed,
      testedAfter: "both" as const,
    });
    const p = (repairs: ReturnType<typeof repair>[]) =>
      run({ ...twoSections(), inspections: failed, repairs }, correlation([])).causes.open_section_bond;
    const before = p([]);
    expect(p([repair("A", "yes")])).toBeGreaterThan(p([repair("B", "yes")]) * 3);
    expect(p([repair("B", "yes")])).toBeLessThan(before / 3);
    expect(p([repair("B", "no")])).toBeGreaterThan(before / 3);
  });

  test("a number recorded as a failure counts as a failed check, however good the number looks", () => {
    const reading = (outcome: "pass" | "fail") =>
      sampleInspection({
        check: "bond_resistance",
        outcome,
        value: "0.05",
        unit: "ohm",
        method: "four_wire",
        sectionId: "A",
      });
    const p = (outcome: "pass" | "fail") =>
      run({ ...twoSections(), inspections: [reading(outcome)] }, correlation([])).bondingDefect.p;
    expect(p("fail")).toBeGreaterThan(p("pass") * 1.5);
  });

  test("two causes at once are both kept in view", () => {
    const records = {
      ...twoSections(),
      inspections: [
        check("section_jumper", "fail", { sectionId: "A" }),
        check("connector_condition", "fail"),
        check("enclosure_dry", "fail"),
      ],
    };
    const d = run(records, correlation(many(20, "rain", { clearedOnDrying: true, hoursSinceRain: 0 })));
    expect(d.causes.open_section_bond).toBeGreaterThan(0.5);
    expect(d.causes.connector_ingress).toBeGreaterThan(0.3);
  });

  test("a site without weather rests on what was recorded and found", () => {
    const d = run(
      { ...plain(), inspections: [check("electrode_bonded", "fail")] },
      correlation([], { window: null, exposureByMonth: [] }),
    );
    expect(leading(d)).toBe("isolated_electrode");
    expect(d.evidence.map((e) => e.source)).not.toContain("events");
  });
});

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
        for (const b of [d.bondingDefect, d.energizedMetal]) {
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
