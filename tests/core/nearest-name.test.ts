import { describe, expect, test } from "vitest";
import { nearestName } from "../../lib/core/nearest-name.ts";

const KNOWN = ["site", "as-of", "json", "portfolio"];

describe("the nearest known name", () => {
  test.each([
    ["as_of", "as-of"],
    ["asOf", "as-of"],
    ["AS-OF", "as-of"],
    ["sites", "site"],
    ["portfolo", "portfolio"],
    ["jsn", "json"],
  ])("%s is %s", (given, near) => expect(nearestName(given, KNOWN)).toBe(near));

  test.each(["colour", "x", "", "---", "station"])("nothing is near to %j", (given) =>
    expect(nearestName(given, KNOWN)).toBeNull(),
  );

  test("two as near: the first known one", () => expect(nearestName("sine", ["site", "side"])).toBe("site"));
});
