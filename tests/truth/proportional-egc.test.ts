import { describe, expect, test } from "vitest";
import { NEC_EDITIONS } from "../../lib/core/records.ts";
import { CONDUCTOR_SIZES, circularMilsOf } from "../../lib/grounding/conductor-size.ts";
import { minimumEgc, proportionalEgc } from "../../lib/grounding/egc-sizing.ts";
import { sizeOf as size } from "../support/size-of.ts";

describe("proportionalEgc", () => {
  // NEC 250.122(B). Sources of the cases: 20 A 12 to 10 a trade forum; 20 A 12 to 6 an electrical contractors'
  // magazine (2013, 2021); 40 A 8 to 6 a trade trainer's 2017 newsletter (its end "10 to 8" from memory); the rest
  // computed from the table and the areas.
  test.each([
    [20, "12", "10", "10"],
    [20, "12", "6", "6"],
    [40, "8", "6", "8"],
    [30, "10", "8", "8"],
    [60, "6", "4", "6"],
    [100, "3", "1", "4"],
    [200, "3/0", "250kcmil", "4"],
    [225, "4/0", "300kcmil", "2"],
    [400, "500kcmil", "600kcmil", "2"],
    [800, "600kcmil", "750kcmil", "2/0"],
  ] as const)("%i A, conductors %s made %s: EGC %s", (ocpdA, minimumConductor, installedConductor, expected) => {
    for (const edition of NEC_EDITIONS) {
      expect(size(proportionalEgc(edition, { ocpdA, material: "copper", minimumConductor, installedConductor }))).toBe(
        expected,
      );
    }
  });

  // Required areas of the same cases, circular mils to a tenth, computed from the areas above. Three lie within 18 cmil
  // of a standard size: 40 A just inside 8 AWG, 60 A and 100 A just outside 8 and 6 AWG.
  test.each([
    [20, "12", "10", 10380],
    [20, "12", "6", 26240],
    [40, "8", "6", 16497.3],
    [30, "10", "8", 16510],
    [60, "6", "4", 16511.5],
    [100, "3", "1", 26258.5],
    [200, "3/0", "250kcmil", 39094.2],
    [225, "4/0", "300kcmil", 59177.7],
    [400, "500kcmil", "600kcmil", 63144],
    [800, "600kcmil", "750kcmil", 132000],
  ] as const)(
    "%i A, conductors %s made %s: %d cmil, met by its size and by no thinner one",
    (ocpdA, min, made, cmil) => {
      const base = circularMilsOf(size(minimumEgc("2020", ocpdA, "copper")));
      const required = (base * circularMilsOf(made)) / circularMilsOf(min);
      expect(required).toBeCloseTo(cmil, 1);
      const given = size(
        proportionalEgc("2020", { ocpdA, material: "copper", minimumConductor: min, installedConductor: made }),
      );
      const place = CONDUCTOR_SIZES.findIndex((entry) => entry.size === given);
      expect(circularMilsOf(given)).toBeGreaterThanOrEqual(required - 1e-6);
      expect((CONDUCTOR_SIZES[place - 1] as { circularMils: number }).circularMils).toBeLessThan(required);
    },
  );

  // 690.45 waives the increase on PV DC circuits only: the AC output circuit of an inverter is enlarged (installers'
  // list for 2017; a repository note on 2023).
  test("the AC output circuit of an inverter is enlarged, its DC circuits are not", () => {
    const circuit = { ocpdA: 20, material: "copper", minimumConductor: "12", installedConductor: "6" } as const;
    for (const edition of NEC_EDITIONS) {
      expect(size(proportionalEgc(edition, circuit))).toBe("6");
      expect(size(proportionalEgc(edition, { ...circuit, pvDcCircuit: true }))).toBe("12");
    }
  });

  // A public forum post rounds 26240/16510 to 1.6 and answers 6 AWG. The exact area is 16497.3 cmil: 8 AWG.
  test("the ratio is not rounded", () => {
    expect(10380 * 1.6).toBeGreaterThan(16510);
    expect((10380 * 26240) / 16510).toBeCloseTo(16497.3, 1);
    expect(
      size(proportionalEgc("2017", { ocpdA: 40, material: "copper", minimumConductor: "8", installedConductor: "6" })),
    ).toBe("8");
  });

  test("a PV DC circuit is not enlarged (690.45), and a circuit that is not upsized keeps the table's size", () => {
    expect(
      size(
        proportionalEgc("2017", {
          ocpdA: 20,
          material: "copper",
          minimumConductor: "12",
          installedConductor: "6",
          pvDcCircuit: true,
        }),
      ),
    ).toBe("12");
    expect(
      size(
        proportionalEgc("2017", { ocpdA: 20, material: "copper", minimumConductor: "12", installedConductor: "12" }),
      ),
    ).toBe("12");
  });

  // 250.122(A); for 15, 20 and 30 A circuits the EGC equals the phase conductor (electrical contractors' magazine).
  test("the EGC never exceeds the circuit conductor", () => {
    for (const [ocpdA, base] of [
      [15, "14"],
      [20, "12"],
      [30, "10"],
    ] as const) {
      for (const installed of ["8", "6", "4", "1", "4/0"]) {
        const found = size(
          proportionalEgc("2020", { ocpdA, material: "copper", minimumConductor: base, installedConductor: installed }),
        );
        expect(circularMilsOf(found)).toBeLessThanOrEqual(circularMilsOf(installed));
      }
    }
  });
});
