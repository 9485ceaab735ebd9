import { describe, expect, test } from "vitest";
import { CHECK_CATALOGUE } from "../../lib/grounding/check-catalogue.ts";
import {
  BOND_PASS_OHM,
  ELECTRODE_SPACING_FT,
  insulationTestRow,
  potentialProbeAt,
  ROD_CONTACT_FT,
  ROD_SLANT_DEG,
  ROD_TRENCH_FT,
  residualTripMa,
  runningInsulationKohm,
  SINGLE_ELECTRODE_OHM,
} from "../../lib/grounding/limits.ts";

describe("insulationTestRow", () => {
  // IEC 62446-1 by system voltage: 120 to 1000 V seen in a repository note; below 120 V and above 1000 V from memory.
  test.each([
    [48, 250, 0.5],
    [119.9, 250, 0.5],
    [120, 500, 1],
    [500, 500, 1],
    [501, 1000, 1],
    [1000, 1000, 1],
    [1001, 1500, 1],
    [1500, 1500, 1],
  ])("a %d V array is tested at %i V and needs %d Mohm", (systemV, testV, minimumMohm) => {
    expect(insulationTestRow(systemV)).toMatchObject({ testV, minimumMohm });
  });
});

describe("runningInsulationKohm", () => {
  // IEC 62109-2, V_max / 30 mA (from memory, high); values computed.
  test.each([
    [600, 20],
    [1000, 33.333],
    [1100, 36.667],
    [1500, 50],
  ])("%i V: %d kohm", (maxDcV, kohm) => {
    expect(runningInsulationKohm(maxDcV, null)).toBeCloseTo(kohm, 2);
  });

  test("the inverter's own limit counts where it is larger, and 50 kohm where the voltage is unknown", () => {
    expect(runningInsulationKohm(600, 200)).toBe(200);
    expect(runningInsulationKohm(600, 10)).toBe(20);
    expect(runningInsulationKohm(null, null)).toBe(50);
  });
});

describe("residualTripMa", () => {
  // IEC 62109-2: 300 mA to 30 kVA (two inverter manuals, an installation note); above, 10 mA a kVA (the note and a
  // design document).
  test.each([
    [5, 300],
    [30, 300],
    [50, 500],
    [100, 1000],
    [125, 1250],
  ])("%i kVA: %i mA", (kva, mA) => {
    expect(residualTripMa(kva)).toBe(mA);
  });
});

describe("potentialProbeAt", () => {
  // Fall of potential, earth-testing handbook: 62 % (61.8 %) of 120 ft is 74 ft.
  test("is 62 % of the way to the current probe", () => {
    expect(Math.round(potentialProbeAt(120))).toBe(74);
    expect(potentialProbeAt(100)).toBeCloseTo(61.8, 9);
    for (const bad of [0, -1, Number.NaN]) expect(() => potentialProbeAt(bad)).toThrow(RangeError);
  });
});

describe("limits", () => {
  // 0.1 ohm: UL 2703 bonding path (one guide). 25 ohm: NEC 250.53(A)(2) Exception (trade article, Q&A). 8 ft: memory.
  test("carry the published figures", () => {
    expect(BOND_PASS_OHM).toMatchObject({ value: 0.1, unit: "ohm" });
    expect(SINGLE_ELECTRODE_OHM).toMatchObject({ value: 25, unit: "ohm" });
    expect(ROD_CONTACT_FT).toMatchObject({ value: 8, unit: "ft" });
  });

  // 6 ft: trade article on 250.53(A)(3). 45 degrees and 30 in (2.5 ft): from memory (high). 8 ft = 2.44 m: memory.
  test("of electrodes are those that the checklist asks for", () => {
    expect(ELECTRODE_SPACING_FT).toMatchObject({ value: 6, unit: "ft" });
    expect(ROD_TRENCH_FT.value * 12).toBe(30);
    expect(ROD_CONTACT_FT.value * 0.3048).toBeCloseTo(2.44, 2);
    const { electrode_resistance, electrode_depth } = CHECK_CATALOGUE;
    expect(electrode_resistance.says).toContain(`${Math.round(potentialProbeAt(100))} %`);
    expect(electrode_resistance.accept).toContain(`at most ${SINGLE_ELECTRODE_OHM.value} ohm`);
    expect(electrode_resistance.accept).toContain(`at least ${ELECTRODE_SPACING_FT.value} ft away`);
    for (const part of [`${ROD_CONTACT_FT.value} ft`, `${ROD_SLANT_DEG} degrees`, `${ROD_TRENCH_FT.value} ft deep`])
      expect(electrode_depth.accept).toContain(part);
  });
});
