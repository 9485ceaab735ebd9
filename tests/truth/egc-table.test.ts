import { describe, expect, test } from "vitest";
import { EGC_ROWS } from "../../lib/grounding/code-tables.ts";
import { assumedDevice, minimumEgc } from "../../lib/grounding/egc-sizing.ts";
import { minimumBondingJumper, minimumDcGec, minimumGec } from "../../lib/grounding/gec-sizing.ts";
import { sizeOf as size } from "../support/size-of.ts";

const LATER = ["2017", "2020", "2023"] as const;

// NFPA 70 Table 250.122. Full table to 6000 A in an engineering firm's public copy; rows to 1200 A in three further
// copies, among them a trade trainer's 2017 newsletter (copper); 1600 and 2000 A copper in a fourth.
const TABLE_250_122: [number, string, string][] = [
  [15, "14", "12"],
  [20, "12", "10"],
  [60, "10", "8"],
  [100, "8", "6"],
  [200, "6", "4"],
  [300, "4", "2"],
  [400, "3", "1"],
  [500, "2", "1/0"],
  [600, "1", "2/0"],
  [800, "1/0", "3/0"],
  [1000, "2/0", "4/0"],
  [1200, "3/0", "250kcmil"],
  [1600, "4/0", "350kcmil"],
  [2000, "250kcmil", "400kcmil"],
  [2500, "350kcmil", "600kcmil"],
  [3000, "400kcmil", "600kcmil"],
  [4000, "500kcmil", "750kcmil"],
  [5000, "700kcmil", "1250kcmil"],
  [6000, "800kcmil", "1250kcmil"],
];

describe("minimumEgc", () => {
  test("every row of Table 250.122 is given for copper and aluminum in 2017, 2020 and 2023", () => {
    expect(EGC_ROWS.length).toBe(TABLE_250_122.length);
    for (const edition of LATER) {
      for (const [amperes, copper, aluminum] of TABLE_250_122) {
        expect(size(minimumEgc(edition, amperes, "copper"))).toBe(copper);
        expect(size(minimumEgc(edition, amperes, "aluminum"))).toBe(aluminum);
      }
    }
  });

  // The 2014 aluminum rows above 3000 A are not confirmed (older ones gave 800, 1200, 1200 kcmil; from memory).
  test("2014 gives the same rows except aluminum above 3000 A, which it refuses", () => {
    for (const [amperes, copper, aluminum] of TABLE_250_122) {
      expect(size(minimumEgc("2014", amperes, "copper"))).toBe(copper);
      expect(size(minimumEgc("2014", amperes, "aluminum"))).toBe(amperes > 3000 ? "no_row" : aluminum);
    }
  });

  // Look-up is "rating not exceeding": 25 to 60 A give 10 AWG, 61 to 100 A give 8 AWG. Anchors from a trainer's groups.
  test.each([
    [25, "10"],
    [30, "10"],
    [35, "10"],
    [40, "10"],
    [45, "10"],
    [50, "10"],
    [60, "10"],
    [61, "8"],
    [70, "8"],
    [80, "8"],
    [90, "8"],
    [100, "8"],
    [200, "6"],
    [225, "4"],
    [350, "3"],
    [450, "2"],
    [700, "1/0"],
  ])("a %i A device takes %s copper", (amperes, copper) => {
    expect(size(minimumEgc("2020", amperes, "copper"))).toBe(copper);
  });

  // Cited examples: 100 A 6 Al and 200 A 4 Al (two copies); 15 A fuse 14 Cu, combined output on 40 A 10 Cu (trade
  // article on 690.45(A)); GFP on a 30 A breaker 10 AWG (trade magazine); 20 A AC-module branch 12 (maker's code note).
  test.each([
    [100, "aluminum", "6"],
    [200, "aluminum", "4"],
    [15, "copper", "14"],
    [40, "copper", "10"],
    [30, "copper", "10"],
    [20, "copper", "12"],
  ] as const)("cited: %i A %s is %s", (amperes, material, expected) => {
    expect(size(minimumEgc("2017", amperes, material))).toBe(expected);
  });

  test("above 6000 A there is no row", () => {
    expect(minimumEgc("2023", 6001, "copper").kind).toBe("no_row");
  });

  test.each([null, "2008", "2026", ""])("edition %s is refused by value, never guessed", (edition) => {
    const refused = { kind: "edition_not_loaded", edition };
    expect(minimumEgc(edition, 20, "copper")).toEqual(refused);
    expect(assumedDevice(edition, 9.5, 1)).toEqual(refused);
    expect(minimumGec(edition, { size: "2", material: "copper" }, "copper", "rod")).toEqual(refused);
    expect(minimumBondingJumper(edition, { size: "2", material: "copper" }, "copper")).toEqual(refused);
    expect(minimumDcGec(edition, "2", "copper")).toEqual(refused);
  });
});
