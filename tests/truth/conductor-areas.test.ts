import { describe, expect, test } from "vitest";
import { EGC_ROWS } from "../../lib/grounding/code-tables.ts";
import { CONDUCTOR_SIZES, circularMilsOf } from "../../lib/grounding/conductor-size.ts";

describe("circularMilsOf", () => {
  // NEC Chapter 9 Table 8; 10, 8 and 6 AWG seen in a public copy, the rest from memory (high).
  test.each([
    ["14", 4110],
    ["12", 6530],
    ["10", 10380],
    ["8", 16510],
    ["6", 26240],
    ["4", 41740],
    ["3", 52620],
    ["2", 66360],
    ["1", 83690],
    ["1/0", 105600],
    ["2/0", 133100],
    ["3/0", 167800],
    ["4/0", 211600],
    ["250kcmil", 250000],
    ["2000kcmil", 2000000],
  ] as const)("%s is %i circular mils", (name, area) => {
    expect(circularMilsOf(name)).toBe(area);
  });

  test("sizes rise and every table names only sizes that exist", () => {
    for (let i = 1; i < CONDUCTOR_SIZES.length; i++) {
      expect((CONDUCTOR_SIZES[i] as { circularMils: number }).circularMils).toBeGreaterThan(
        (CONDUCTOR_SIZES[i - 1] as { circularMils: number }).circularMils,
      );
    }
    for (const row of EGC_ROWS)
      for (const name of [row.copper, row.aluminum]) expect(circularMilsOf(name)).toBeGreaterThan(0);
  });
});
