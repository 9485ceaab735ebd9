import { expect, test } from "vitest";
import type { KnownRecords } from "../../lib/contract/row-parser.ts";
import { readBothWays } from "../support/read-both-ways.ts";

const KNOWN: KnownRecords = {
  zoneOf: (site) => (site.startsWith("S") ? "America/New_York" : undefined),
  hasInverter: (_site, inverter) => inverter === "I1" || inverter === "I2",
  hasSection: () => false,
};
const HEADER = "site_id,inverter_id,started_at,ended_at,code,reset_by,closed_as,message";
const PLAIN = [
  "S1,I1,2026-01-31T23:59:59Z,2026-02-01T00:00:00Z,1,auto,self_cleared,",
  'S1,I1,2026-02-01T01:00:00Z,,x,REMOTE,,"Insulation low, string 4"',
  "S2,I2,2026-02-01T01:00:00Z,,1,,,a \\ b \\N",
  "",
];
/** Each has something that the bytes alone do not settle. */
const ODD = [
  "S1,I1,2026-02-01 02:00,,1,,,local time",
  'S1,I1,2026-02-01T03:00:00Z,,1,,,"a ""quoted"" word"',
  'S1,I1,2026-02-01T04:00:00Z,,1,,,"two\nlines"',
  "S1,I1,2026-02-01T05:00:00Z,,1,,,grün",
  "S1,I1,2028-02-29T05:00:00Z,,1,,,leap day",
  "S1,I1,2026-02-01T06:00:00Z,,'=1,,,guarded",
  " S1 ,I1,2026-02-01T07:00:00Z,,1,,,blanks",
  "X1,I1,2026-02-01T08:00:00Z,,1,,,no such site",
  "S1,I9,2026-02-01T08:00:00Z,,1,,,no such inverter",
  "S1,I1,2026-02-01T09:00:00Z,2026-02-01T08:59:59Z,1,,,ends before it starts",
  "S1,I1,2026-02-01T10:00:00Z,,1,nobody,,no such word",
  "S1,I1,,,1,,,no start",
  "S1,I1,2026-02-01T11:00:00Z,,,,,no code",
  "S1,I1,2026-02-01T12:00:00Z,,1,,too few cells",
  `S1,I1,2026-02-01T13:00:00Z,,${"c".repeat(501)},,,code too long`,
];
const file = (lines: readonly string[], end = "\n") => Buffer.from(`${[HEADER, ...lines].join(end)}${end}`);

test("plain rows are staged without becoming texts, byte for byte as the parser stages them", () => {
  for (const end of ["\n", "\r\n"]) {
    const read = readBothWays(file(PLAIN, end), [7], KNOWN);
    expect(read?.byBytes).toEqual(read?.byText);
    expect(read?.byBytes.rows).toBe(3);
    expect(read?.byBytes.bad).toEqual([]);
    expect(read?.asTexts).toBe(0);
  }
});

test("every other row goes to the parser, which takes it or says why not, and the rows after it are plain again", () => {
  const lines = ODD.flatMap((odd) => [odd, ...PLAIN]);
  for (const size of [1, 13, 100, 1_000_000]) {
    const read = readBothWays(file(lines), [size], KNOWN);
    expect(read?.byBytes).toEqual(read?.byText);
    // The row behind the one of two lines goes along with it.
    expect(read?.asTexts).toBe(ODD.length + 1);
    expect(read?.byBytes.bad).toHaveLength(8);
  }
});

test("a log whose columns need more than bytes is not read from them", () => {
  expect(
    readBothWays(Buffer.from("site_id,inverter_id,started_at\nS1,I1,2026-01-01T00:00:00Z\n"), [9], KNOWN),
  ).toBeNull();
  expect(readBothWays(Buffer.from(`${HEADER},code\n`), [9], KNOWN)).toBeNull();
});
