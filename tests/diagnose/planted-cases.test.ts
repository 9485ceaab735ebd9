import { describe, expect, test } from "vitest";
import { BONDING_CAUSES } from "../../lib/core/records.ts";
import { DEFAULT_PARAMETERS, parameter, valuesOf } from "../../lib/diagnose/parameters.ts";
import { AS_OF, check, correlation, FROM, leading, many, plain, run, twoSections } from "../support/diagnosis-cases.ts";
import { sampleInspection } from "../support/sample-site.ts";

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

  test("insulation that falls when wet, and leakage that rises, raise the leak's causes before anything has tripped", () => {
    const quiet = run(plain(), correlation([]));
    const reported = {
      inverterId: "I1",
      at: AS_OF - 86_400_000,
      wetReadings: 60,
      dryReadings: 200,
      insulationWetToDry: 0.2,
      insulationWetChange: 0.4,
      changeDays: 600,
      residualWetToDry: 3.2,
    };
    const falling = run(plain(), correlation([], { readings: [reported] }));
    for (const cause of ["connector_ingress", "conductor_insulation"] as const)
      expect(falling.causes[cause], cause).toBeGreaterThan(2.5 * quiet.causes[cause]);
    expect(falling.evidence.some((e) => e.source === "readings")).toBe(true);
    const steady = run(
      plain(),
      correlation([], {
        readings: [{ ...reported, insulationWetToDry: 0.85, insulationWetChange: 1, residualWetToDry: 1.1 }],
      }),
    );
    expect(steady.causes.connector_ingress).toBeLessThan(quiet.causes.connector_ingress);
    // Three readings of one series: one in full, a half, a quarter, each never worth more than the chance of a miss.
    const values = valuesOf(DEFAULT_PARAMETERS);
    const least = parameter(values, "reading.miss.wet") ** (1 + 0.5 + 0.25);
    expect(steady.causes.connector_ingress).toBeGreaterThan(0.9 * least * quiet.causes.connector_ingress);
  });

  test("a detector that looks only at start trips at dawn whatever the cause, so dawn says nothing of it", () => {
    const dawn = many(10, "dew", { atDawn: true });
    const of = (detector: "insulation_check" | "residual_current") => {
      const site = plain();
      return run({ ...site, inverters: site.inverters.map((i) => ({ ...i, detector })) }, correlation(dawn));
    };
    expect(of("residual_current").evidence.map((e) => e.source)).toContain("dawn");
    expect(of("insulation_check").evidence.map((e) => e.source)).not.toContain("dawn");
    expect(of("insulation_check").causes.module_insulation).toBeLessThan(
      of("residual_current").causes.module_insulation,
    );
  });

  test("a site with one blind detector among several is judged between all and none", () => {
    const of = (...detectors: ("fuse" | "residual_current")[]) => {
      const site = twoSections("bus");
      const inverters = site.inverters.map((i, k) => ({ ...i, detector: detectors[k] as "fuse" }));
      return run({ ...site, inverters }, correlation([])).causes.conductor_insulation;
    };
    const [none, one, all] = [
      of("residual_current", "residual_current"),
      of("fuse", "residual_current"),
      of("fuse", "fuse"),
    ] as const;
    // Silence of a detector that misses faults is weaker evidence that there is none.
    expect(one).toBeGreaterThan(none);
    expect(all).toBeGreaterThan(one);
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
