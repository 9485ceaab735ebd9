import { describe, expect, test } from "vitest";
import { runCases, TARGETS } from "./targets.ts";

/** With the imports into a database (tests/ingest/fuzz-import.test.ts) more than 5,000; `npm run test:long` runs 100,000. */
const CASES = 5000;

describe("hostile files", () => {
  test.each(TARGETS)("$name: no crash, and every promise about its rows holds", async (target) => {
    const cases = Math.ceil(CASES * target.share);
    await runCases(target, "npm-test", [0, cases]);
    expect(cases).toBeGreaterThanOrEqual(CASES * target.share);
  });
});
