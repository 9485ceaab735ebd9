import { beforeAll, describe, expect, test } from "vitest";
import { importBase, importCase } from "../fuzz/import-case.ts";
import { runCases } from "../fuzz/targets.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
const CASES = 60;
/** Nothing is timed in a test: a busy machine must not fail it. */
const PATIENCE_MS = 900_000;

describe("hostile drops through the whole import", () => {
  beforeAll(importBase);
  test(
    "no crash, counts add up, what is set aside is kept and comes back, and nothing changes twice",
    async () => {
      await runCases({ name: "import", share: 1, run: importCase }, "npm-test", [0, CASES]);
      expect(CASES).toBeGreaterThan(50);
    },
    PATIENCE_MS,
  );
});
