import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Inspection, InverterReading, SiteRecords } from "../../lib/core/records.ts";
import { DEFAULT_DISPATCH_PARAMETERS } from "../../lib/dispatch/dispatch-parameters.ts";
import { makeSafeTriggers } from "../../lib/dispatch/make-safe.ts";
import {
  AS_OF,
  atTime,
  DAY_MS,
  onDay,
  sampleDiagnosis,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleRepair,
  sampleSite,
} from "../support/sample-site.ts";

const found = (records: SiteRecords, diagnosis = sampleDiagnosis(), asOf = AS_OF) =>
  makeSafeTriggers(records, diagnosis, asOf, DEFAULT_DISPATCH_PARAMETERS);
const kinds = (records: SiteRecords, diagnosis = sampleDiagnosis()) =>
  found(records, diagnosis).map((item) => item.trigger);
const volts = (value: string | null, over: Partial<Inspection> = {}) =>
  sampleInspection({
    check: "section_potential",
    unit: "volt",
    quantity: "dc",
    meterImpedance: "high",
    value,
    sectionId: "A",
    ...over,
  });
const reading = (hoursAgo: number, over: Partial<InverterReading>): InverterReading => ({
  siteId: "S1",
  inverterId: "I1",
  observedAt: AS_OF - hoursAgo * 3_600_000,
  insulationKohm: null,
  residualCurrentMa: null,
  dcVoltageV: null,
  acPowerKw: null,
  ...over,
});

describe("makeSafeTriggers", () => {
  test("a site in order has none", () => {
    expect(found(sampleRecords())).toEqual([]);
  });

  test.each([
    ["30", "dc", true],
    ["29.9", "dc", false],
    ["15", "ac_rms", true],
    ["14.9", "ac_rms", false],
    ["15", null, true],
    ["-40", "dc", true],
  ] as const)("%s V %s on metal: %s", (value, quantity, expected) => {
    expect(
      kinds(sampleRecords({ inspections: [volts(value, { quantity, outcome: "pass" })] })).includes("stop_potential"),
    ).toBe(expected);
  });

  test("a potential that failed without a number counts as reaching the limit, until it is measured", () => {
    const failed = volts(null, { unit: null, outcome: "fail" });
    expect(kinds(sampleRecords({ inspections: [failed] }))).toEqual(["stop_potential"]);
    const later = volts("0.4", { inspectedAt: atTime("2024-05-02T10:00:00Z") });
    expect(kinds(sampleRecords({ inspections: [failed, later] }))).toEqual([]);
  });

  test("a later low reading, time and silence do not clear a stop; a confirmed, tested repair there does", () => {
    const bad = volts("120");
    const low = volts("0.1", { inspectedAt: atTime("2024-05-20T10:00:00Z") });
    expect(kinds(sampleRecords({ inspections: [bad, low] }))).toEqual(["stop_potential"]);
    expect(found(sampleRecords({ inspections: [bad] }), sampleDiagnosis(), AS_OF + 3650 * DAY_MS)).toHaveLength(1);
    expect(kinds(sampleRecords({ inspections: [bad], repairs: [sampleRepair({})] }))).toEqual([]);
  });

  test.each([
    ["not confirmed", { confirmed: "no" as const }],
    ["confirmation unknown", { confirmed: null }],
    ["not tested", { testedAfter: "none" as const }],
    ["tested for something else", { testedAfter: "insulation" as const }],
    ["at another section", { sectionId: "B" }],
    ["at no named place where there are two sections", { sectionId: null }],
    ["nothing found", { cause: "none_found" as const }],
    ["before the finding", { repairedAt: atTime("2024-04-30T10:00:00Z") }],
    ["only on the same day, order unknown", { repairedAt: onDay("2024-05-01") }],
    ["after asOf", { repairedAt: atTime("2024-07-01T10:00:00Z") }],
  ])("a repair does not clear a stop when %s", (_, over) => {
    expect(kinds(sampleRecords({ inspections: [volts("120")], repairs: [sampleRepair(over)] }))).toEqual([
      "stop_potential",
    ]);
  });

  test("a stop after the repair counts again", () => {
    const again = volts("60", { inspectedAt: atTime("2024-05-25T10:00:00Z") });
    expect(kinds(sampleRecords({ inspections: [volts("120"), again], repairs: [sampleRepair({})] }))).toEqual([
      "stop_potential",
    ]);
  });

  test("insulation has to stay below the limit in the last readings over a day", () => {
    // 600 V / 30 mA = 20 kohm (IEC 62109-2, from memory).
    const run = (hours: number[], kohm = 15) =>
      sampleRecords({ readings: hours.map((h) => reading(h, { insulationKohm: kohm })) });
    expect(kinds(run([30, 20, 1]))).toEqual(["insulation_low"]);
    expect(kinds(run([20, 10, 1]))).toEqual([]);
    expect(kinds(run([30, 1]))).toEqual([]);
    expect(kinds(run([30, 20, 1], 20))).toEqual([]);
    const recovered = [...run([30, 20, 2]).readings, reading(1, { insulationKohm: 900 })];
    expect(kinds(sampleRecords({ readings: recovered }))).toEqual([]);
  });

  test("the insulation limit is 50 kohm where the voltage is unknown, and the inverter's own where larger", () => {
    const readings = [30, 20, 1].map((h) => reading(h, { insulationKohm: 45 }));
    expect(kinds(sampleRecords({ readings }))).toEqual([]);
    expect(kinds(sampleRecords({ readings, inverters: [sampleInverter({ maxDcV: null })] }))).toEqual([
      "insulation_low",
    ]);
    expect(kinds(sampleRecords({ readings, inverters: [sampleInverter({ insulationLimitKohm: 100 })] }))).toEqual([
      "insulation_low",
    ]);
  });

  test("insulation measured on site below the limit counts at once; 0.5 Mohm fails its check but is no emergency", () => {
    const measured = (value: string) =>
      sampleInspection({
        check: "insulation_resistance",
        unit: "megohm",
        value,
        outcome: "fail",
        inverterId: "I1",
        testVoltageV: 1000,
      });
    expect(kinds(sampleRecords({ inspections: [measured("0.01")] }))).toEqual(["insulation_low"]);
    expect(kinds(sampleRecords({ inspections: [measured("0.5")] }))).toEqual([]);
    const fixed = sampleRepair({ cause: "connector_ingress", testedAfter: "insulation" });
    expect(kinds(sampleRecords({ inspections: [measured("0.01")], repairs: [fixed] }))).toEqual([]);
  });

  test("residual current at the trip value counts, and silence afterwards does not clear it", () => {
    const at = (mA: number, hoursAgo = 1) =>
      sampleRecords({ readings: [reading(hoursAgo, { residualCurrentMa: mA })] });
    expect(kinds(at(300))).toEqual(["residual_current"]);
    expect(kinds(at(299))).toEqual([]);
    expect(kinds(at(300, 24 * 200))).toEqual(["residual_current"]);
    // 50 kVA: 10 mA a kVA, 500 mA (IEC 62109-2, an installation note).
    const big = (mA: number) =>
      sampleRecords({
        inverters: [sampleInverter({ acKw: 50, tripMa: null })],
        readings: [reading(1, { residualCurrentMa: mA })],
      });
    expect(kinds(big(499))).toEqual([]);
    expect(kinds(big(500))).toEqual(["residual_current"]);
  });

  test("an open EGC counts until repaired and tested, or measured sound by a licensed person", () => {
    const open = sampleInspection({ check: "egc_continuous", outcome: "fail", sectionId: "A" });
    expect(kinds(sampleRecords({ inspections: [open] }))).toEqual(["open_egc"]);
    expect(kinds(sampleRecords({ inspections: [open], repairs: [sampleRepair({ cause: "egc_broken" })] }))).toEqual([]);
    const looked = sampleInspection({
      check: "egc_continuous",
      sectionId: "A",
      inspectedAt: atTime("2024-05-20T10:00:00Z"),
      inspectorLicence: "L-1",
    });
    expect(kinds(sampleRecords({ inspections: [open, looked] }))).toEqual(["open_egc"]);
    const volt = volts("0.1", { inspectedAt: atTime("2024-05-20T09:00:00Z") });
    const measured = { ...looked, value: "0.05", unit: "ohm", method: "four_wire" } as const;
    expect(kinds(sampleRecords({ inspections: [open, volt, measured] }))).toEqual([]);
    expect(kinds(sampleRecords({ inspections: [open, volt, { ...measured, inspectorLicence: null }] }))).toEqual([
      "open_egc",
    ]);
  });

  test.each([
    ["Owner got a shock off the rail.", true],
    ["Burn marks at the combiner, smell of smoke.", true],
    ["No shock reported, no burn marks.", false],
    ["no sign of arcing", false],
    ["No shock reported, but scorched glands.", true],
    ["Shock hazard label missing; smoke detector fine.", false],
    ["Rail is dusty.", false],
  ])("the note %j raises an emergency: %s", (note, expected) => {
    expect(
      kinds(sampleRecords({ inspections: [sampleInspection({ check: "section_jumper", note })] })).includes(
        "hazard_report",
      ),
    ).toBe(expected);
  });

  test("a likely open bond counts where the public or nobody knows who can reach it", () => {
    const open = sampleDiagnosis({ open_section_bond: 0.5 });
    const at = (access: "public" | "fenced" | "residential" | null) =>
      kinds(sampleRecords({ site: sampleSite({ access }) }), open);
    expect(at("public")).toEqual(["open_bond_in_reach"]);
    expect(at(null)).toEqual(["open_bond_in_reach"]);
    expect(at("residential")).toEqual([]);
    expect(at("fenced")).toEqual([]);
  });

  test("energised metal counts from the low end of its band", () => {
    const with_ = (low: number) => sampleDiagnosis({}, { energizedMetal: { p: 0.4, low, high: 0.6 } });
    expect(kinds(sampleRecords(), with_(0.25))).toEqual(["energized_metal"]);
    expect(kinds(sampleRecords(), with_(0.24))).toEqual([]);
  });

  test("a further inspection never removes a trigger that a record raised", () => {
    const rows = fc.array(
      fc.record({
        value: fc.constantFrom("0.2", "5", "200"),
        day: fc.integer({ min: 2, max: 28 }),
        sectionId: fc.constantFrom("A", "B", null),
      }),
      { maxLength: 6 },
    );
    fc.assert(
      fc.property(rows, (draws) => {
        const more = draws.map((draw) =>
          volts(draw.value, {
            sectionId: draw.sectionId,
            inspectedAt: onDay(`2024-05-${String(draw.day).padStart(2, "0")}`),
          }),
        );
        expect(kinds(sampleRecords({ inspections: [volts("120"), ...more] }))).toContain("stop_potential");
      }),
    );
  });
});
