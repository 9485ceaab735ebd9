import { describe, expect, test } from "vitest";
import { timeInZone, zonedTime } from "../../app/_ui/format.ts";
import { isoInZone } from "../../lib/core/zoned-time.ts";

describe("times", () => {
  const at = ["2026-03-08T07:59:00Z", "2026-03-08T08:00:00Z", "2026-07-01T00:00:00Z", "2026-11-01T06:30:00Z"];
  test("the browser's clock agrees with the one that everything is computed by, also over both changes of the clocks", () => {
    for (const zone of ["America/Chicago", "America/Phoenix", "Pacific/Honolulu", "Asia/Kolkata", "UTC"])
      for (const iso of at)
        expect([zone, timeInZone(iso, zone)]).toEqual([
          zone,
          isoInZone(Date.parse(iso), zone).slice(0, 16).replace("T", " "),
        ]);
  });
  test("a time says its zone as it is called on that day", () => {
    expect(zonedTime("2026-01-15T18:00:00Z", "America/Chicago")).toBe("2026-01-15 12:00 CST");
    expect(zonedTime("2026-07-15T18:00:00Z", "America/Chicago")).toBe("2026-07-15 13:00 CDT");
    expect(zonedTime("2026-07-15T18:00:00Z", "UTC")).toBe("2026-07-15 18:00 UTC");
  });
});
