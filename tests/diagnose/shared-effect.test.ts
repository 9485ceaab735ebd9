import { describe, expect, test } from "vitest";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import type { VisitOutcome } from "../../lib/diagnose/learning.ts";
import { sharedEffect } from "../../lib/diagnose/shared-effect.ts";

const visit = (stated: number, found: boolean, looked = true): VisitOutcome => ({
  siteId: "X",
  found: found ? ["open_section_bond"] : [],
  lookedFor: looked ? ["open_section_bond"] : [],
  stated: Object.fromEntries(CAUSES.map((c) => [c, stated])) as Record<Cause, number>,
});

describe("sharedEffect", () => {
  test("an installer whose sites were found bad more often than stated raises his other sites, bounded by the spread", () => {
    const few = sharedEffect([visit(0.2, true), visit(0.2, true)], "open_section_bond", 0.6);
    const more = sharedEffect(
      Array.from({ length: 10 }, () => visit(0.2, true)),
      "open_section_bond",
      0.6,
    );
    expect(few.shift).toBeGreaterThan(0);
    expect(more.shift).toBeGreaterThan(few.shift);
    expect(more.sd).toBeLessThan(0.6);
  });
  test("one find at even odds with spread 1: the root of 0.5 - (expit(x) - 0.5) = x, so x + expit(x) = 1", () => {
    const { shift } = sharedEffect([visit(0.5, true)], "open_section_bond", 1);
    expect(shift + 1 / (1 + Math.exp(-shift))).toBeCloseTo(1, 9);
  });
  test("finds as often as stated move nothing, however suspicious the sites were", () => {
    const outcomes = Array.from({ length: 10 }, (_, i) => visit(0.8, i < 8));
    expect(sharedEffect(outcomes, "open_section_bond", 0.6).shift).toBeCloseTo(0, 9);
  });
  test("a cause that nobody looked for says nothing", () => {
    expect(sharedEffect([visit(0.2, false, false)], "open_section_bond", 0.6)).toEqual({
      shift: 0,
      sd: 0.6,
      looked: 0,
      found: 0,
    });
  });
});
