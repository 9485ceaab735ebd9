import { describe, expect, test } from "vitest";
import { STANDARD_OCPD_A } from "../../lib/grounding/code-tables.ts";
import { assumedDevice, minimumEgc, nextStandardOcpdA } from "../../lib/grounding/egc-sizing.ts";
import { sizeOf as size } from "../support/size-of.ts";

const LATER = ["2017", "2020", "2023"] as const;

describe("assumedDevice", () => {
  // 690.45 with 690.8(A) and 690.9(B): 1.5625 x Isc x strings. 9.5 A giving 14.8 and 15 A is on a public calculator
  // page; the rest is computed, with two equality edges and one just above.
  test.each([
    [8.5, 1, 13.281, 15, "14", "12"],
    [9.5, 1, 14.844, 15, "14", "12"],
    [9.6, 1, 15, 15, "14", "12"],
    [9.61, 1, 15.016, 20, "12", "10"],
    [11.5, 1, 17.969, 20, "12", "10"],
    [12.8, 1, 20, 20, "12", "10"],
    [13.9, 1, 21.719, 25, "10", "8"],
    [9.5, 3, 44.531, 45, "10", "8"],
    [9.5, 12, 178.125, 200, "6", "4"],
    [9.5, 20, 296.875, 300, "4", "2"],
    [13.9, 24, 521.25, 600, "1", "2/0"],
  ] as const)(
    "Isc %d A x %i strings: %d A, next %i A, EGC %s Cu / %s Al",
    (isc, strings, amperes, standard, copper, aluminum) => {
      for (const edition of LATER) {
        const device = assumedDevice(edition, isc, strings);
        if (device.kind !== "assumed_device") throw new Error("edition is loaded");
        expect(device.currentA).toBeCloseTo(amperes, 3);
        expect(device.standardA).toBe(standard);
        // The exact current and the next standard rating lead to one size.
        for (const rating of [device.currentA, standard]) {
          expect(size(minimumEgc(edition, rating, "copper"))).toBe(copper);
          expect(size(minimumEgc(edition, rating, "aluminum"))).toBe(aluminum);
        }
      }
    },
  );

  // 2014 takes the circuit's maximum current, 1.25 x Isc (from memory, high): 14.375 A, so 14 AWG, not 12.
  test("2014 differs at Isc 11.5 A", () => {
    const old = assumedDevice("2014", 11.5, 1);
    expect(old).toMatchObject({ currentA: 14.375, standardA: 15 });
    expect(size(minimumEgc("2014", 14.375, "copper"))).toBe("14");
    expect(size(minimumEgc("2017", 17.969, "copper"))).toBe("12");
  });

  // The 2014 current of every row above, 1.25 x Isc x strings: computed. That 2014 takes it is from memory (high). Sizes
  // follow from Table 250.122; they differ from 2017 where the two currents lie on either side of one of its ratings.
  test.each([
    [8.5, 1, 10.625, "14"],
    [9.5, 1, 11.875, "14"],
    [9.6, 1, 12, "14"],
    [9.61, 1, 12.0125, "14"],
    [11.5, 1, 14.375, "14"],
    [12.8, 1, 16, "12"],
    [13.9, 1, 17.375, "12"],
    [9.5, 3, 35.625, "10"],
    [9.5, 12, 142.5, "6"],
    [9.5, 20, 237.5, "4"],
    [13.9, 24, 417, "2"],
  ] as const)("2014, Isc %d A x %i strings: %d A, EGC %s", (isc, strings, amperes, copper) => {
    const device = assumedDevice("2014", isc, strings);
    if (device.kind !== "assumed_device") throw new Error("edition is loaded");
    expect(device.currentA).toBeCloseTo(amperes, 9);
    expect(size(minimumEgc("2014", device.currentA, "copper"))).toBe(copper);
  });

  // A public PV page sizes the device as 1.25 x Isc alone: 10 A x 1 would give 15 A instead of 20 A.
  test("both factors of 1.25 are applied from 2017", () => {
    expect(assumedDevice("2017", 10, 1)).toMatchObject({ currentA: 15.625, standardA: 20 });
  });
});

describe("nextStandardOcpdA", () => {
  // 240.6(A), from memory (high).
  test("every standard rating is its own next, and a hair above it goes one up", () => {
    expect(STANDARD_OCPD_A).toEqual([
      15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500,
      600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000,
    ]);
    STANDARD_OCPD_A.forEach((rating, i) => {
      expect(nextStandardOcpdA(rating)).toBe(rating);
      expect(nextStandardOcpdA(rating + 0.01)).toBe(STANDARD_OCPD_A[i + 1] ?? null);
    });
  });
});
