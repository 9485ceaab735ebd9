import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  instantFromWall,
  isoInZone,
  isTimeZone,
  localDay,
  parseIsoTime,
  standardOffsetMs,
  wallMs,
} from "../../lib/core/zoned-time.ts";

const NEW_YORK = "America/New_York";
const HOUR = 3_600_000;

describe("parseIsoTime", () => {
  test("a time with Z or an offset is absolute, whatever the site's zone", () => {
    expect(parseIsoTime("2026-03-01T12:00:00Z", NEW_YORK)).toMatchObject({ ok: true, at: Date.UTC(2026, 2, 1, 12) });
    expect(parseIsoTime("2026-03-01T12:00+02:00", null)).toMatchObject({ ok: true, at: Date.UTC(2026, 2, 1, 10) });
    expect(parseIsoTime("2026-03-01 12:00:00.5-0530", null)).toMatchObject({
      ok: true,
      at: Date.UTC(2026, 2, 1, 17, 30, 0, 500),
    });
  });

  test("an ambiguous autumn time takes its first occurrence and says so", () => {
    // New York 2013-11-03: clocks went back from 02:00 EDT to 01:00 EST (IANA time-zone database).
    expect(parseIsoTime("2013-11-03T01:30", NEW_YORK)).toMatchObject({
      ok: true,
      at: Date.UTC(2013, 10, 3, 5, 30),
      kind: "ambiguous",
    });
  });

  test("a spring time that does not exist moves forward by the gap and says so", () => {
    // New York 2013-03-10: 02:00 to 03:00 was skipped, so 02:30 reads as 03:30 EDT.
    expect(parseIsoTime("2013-03-10T02:30", NEW_YORK)).toMatchObject({
      ok: true,
      at: Date.UTC(2013, 2, 10, 7, 30),
      kind: "skipped",
    });
  });

  test("half-hour summer time is handled: Lord Howe Island moves by 30 minutes", () => {
    expect(parseIsoTime("2023-04-02T01:45", "Australia/Lord_Howe")).toMatchObject({ ok: true, kind: "ambiguous" });
    expect(parseIsoTime("2023-10-01T02:15", "Australia/Lord_Howe")).toMatchObject({
      ok: true,
      kind: "skipped",
      at: Date.UTC(2023, 8, 30, 15, 45),
    });
  });

  test("a date alone is some time on that local day", () => {
    const parsed = parseIsoTime("2026-07-04", NEW_YORK);
    expect(parsed).toMatchObject({ ok: true, dayOnly: true, day: "2026-07-04", at: Date.UTC(2026, 6, 4, 16) });
  });

  test("what is no time, or has no zone to be local to, is refused with a reason", () => {
    for (const [text, zone, why] of [
      ["yesterday", NEW_YORK, /ISO 8601/],
      ["2026-02-30T10:00Z", NEW_YORK, /no such date/],
      ["2026-01-01T25:00Z", NEW_YORK, /no such date/],
      ["2026-01-01T10:00", null, /time zone/],
      ["2026-01-01T10:00+25:00", NEW_YORK, /offset/],
      ["1066-10-14T10:00Z", NEW_YORK, /year/],
    ] as const) {
      const parsed = parseIsoTime(text, zone);
      expect(parsed.ok, text).toBe(false);
      if (!parsed.ok) expect(parsed.reason).toMatch(why);
    }
  });
});

describe("instantFromWall", () => {
  test("every instant comes back from its own wall clock, or from the first of two", () => {
    const zones = [NEW_YORK, "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kolkata", "America/Phoenix"];
    fc.assert(
      fc.property(
        fc.integer({ min: Date.UTC(1990, 0, 1), max: Date.UTC(2040, 0, 1) }),
        fc.constantFrom(...zones),
        (at, zone) => {
          const back = instantFromWall(wallMs(at, zone), zone);
          expect(back.kind).not.toBe("skipped");
          if (back.at !== at) {
            expect(back.kind).toBe("ambiguous");
            expect(at - back.at).toBeGreaterThan(0);
            expect(at - back.at).toBeLessThanOrEqual(HOUR);
          }
        },
      ),
    );
  });
});

describe("standardOffsetMs", () => {
  test("is the winter offset all year, on both halves of the earth", () => {
    expect(standardOffsetMs(NEW_YORK, Date.UTC(2020, 6, 1))).toBe(-5 * HOUR);
    expect(standardOffsetMs("Australia/Sydney", Date.UTC(2020, 0, 1))).toBe(10 * HOUR);
  });
});

describe("isoInZone", () => {
  test("keeps the instant and shows the zone's offset", () => {
    const at = Date.UTC(2026, 0, 15, 18);
    expect(isoInZone(at, NEW_YORK)).toBe("2026-01-15T13:00:00-05:00");
    expect(Date.parse(isoInZone(at, "Asia/Kolkata"))).toBe(at);
    expect(localDay(Date.UTC(2026, 0, 1, 3), NEW_YORK)).toBe("2025-12-31");
  });
});

describe("isTimeZone", () => {
  test("knows IANA zones and refuses bare offsets, which have no summer time", () => {
    expect(isTimeZone("America/Chicago")).toBe(true);
    expect(isTimeZone("+05:00")).toBe(false);
    expect(isTimeZone("Mars/Olympus")).toBe(false);
  });
});
