import { describe, expect, test } from "vitest";
import { auditCount } from "../../lib/dispatch/audit-offer.ts";

describe("auditCount", () => {
  test("makes audits the share of all visits, and never more than there are sites", () => {
    expect(auditCount(95, 0.05, 500)).toBe(5);
    expect(auditCount(950, 0.05, 500) / (950 + auditCount(950, 0.05, 500))).toBeCloseTo(0.05, 9);
    expect(auditCount(3, 0.05, 500)).toBe(0);
    expect(auditCount(95, 0.05, 2)).toBe(2);
    expect(auditCount(95, 0, 500)).toBe(0);
    expect(() => auditCount(95, 1, 500)).toThrow(RangeError);
  });
});
