import fc from "fast-check";
import { expect, test } from "vitest";
import { isoTextMs, monthIndex, monthName, plainUtcMs } from "../../lib/contract/plain-time.ts";

// The reference is the runtime's own calendar (ECMA-262, "Time Values and Time Range", proleptic Gregorian).
const instant = fc.date({
  min: new Date("1969-12-30T00:00:00Z"),
  max: new Date("2100-01-03T00:00:00Z"),
  noInvalidDate: true,
});

test("a plain time is the calendar's instant, or is left to the calendar", () => {
  fc.assert(
    fc.property(instant, (date) => {
      const text = `${date.toISOString().slice(0, 19)}Z`;
      const ms = plainUtcMs(Buffer.from(`,${text}`), 1);
      const isLeapDay = text.slice(5, 10) === "02-29";
      const year = date.getUTCFullYear();
      expect(ms).toBe(isLeapDay || year < 1970 || year > 2099 ? Number.NaN : Date.parse(text));
    }),
    { numRuns: 2000 },
  );
});

test("what is no plain time is none, whatever its bytes", () => {
  const twisted = fc.tuple(instant, fc.nat(19), fc.nat(255)).map(([date, at, byte]) => {
    const bytes = Buffer.from(`${date.toISOString().slice(0, 19)}Z`);
    bytes[at] = byte;
    return bytes;
  });
  fc.assert(
    fc.property(twisted, (bytes) => {
      const ms = plainUtcMs(bytes, 0);
      if (!Number.isNaN(ms)) expect(`${new Date(ms).toISOString().slice(0, 19)}Z`).toBe(bytes.toString("latin1"));
    }),
    { numRuns: 5000 },
  );
  for (const text of ["2026-02-30T00:00:00Z", "2026-04-31T00:00:00Z", "2026-01-01T24:00:00Z", "2026-01-01T23:59:60Z"])
    expect(plainUtcMs(Buffer.from(text), 0), text).toBe(Number.NaN);
});

test("times as toISOString writes them are read back to the millisecond, and their months are the calendar's", () => {
  fc.assert(
    fc.property(instant, (date) => {
      const text = date.toISOString();
      expect(isoTextMs(text)).toBe(date.getTime());
      expect(monthName(monthIndex(date.getTime()))).toBe(text.slice(0, 7));
    }),
    { numRuns: 2000 },
  );
});
