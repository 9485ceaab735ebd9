import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { KeyOrder } from "../../lib/ingest/key-order.ts";

const COLUMNS = [
  { name: "site_id", sql: "text", key: true },
  { name: "inverter_id", sql: "text", key: true },
  { name: "started_at", sql: "timestamptz", key: true },
  { name: "message", sql: "text", key: false },
];
type Row = { site: string; inverter: string; hour: number };
const time = (hour: number) => new Date(hour * 3_600_000).toISOString();

function isUnique(rows: readonly Row[]): boolean {
  const order = new KeyOrder(COLUMNS);
  rows.forEach((r, i) => {
    order.look({ line: i + 2, values: [r.site, r.inverter, time(r.hour), null] });
  });
  return order.isUnique;
}

const rows = fc.array(
  fc.record({
    site: fc.constantFrom("a", "b", "c"),
    inverter: fc.constantFrom("1", "2"),
    hour: fc.integer({ min: 0, max: 9 }),
  }),
  { maxLength: 30 },
);
const keyOf = (r: Row) => `${r.site}/${r.inverter}/${r.hour}`;
const isDistinct = (all: readonly Row[]) => new Set(all.map(keyOf)).size === all.length;
const bySite = (a: Row, b: Row) => (a.site < b.site ? -1 : a.site > b.site ? 1 : a.hour - b.hour);
const byTime = (a: Row, b: Row) => a.hour - b.hour;

describe("KeyOrder", () => {
  test("never calls rows unique of which two have one key, in whatever order they come", () => {
    fc.assert(
      fc.property(rows, (all) => !isUnique(all) || isDistinct(all)),
      { numRuns: 2000 },
    );
  });

  test("tells it exactly where rows come by time, or site by site and by time within", () => {
    fc.assert(
      fc.property(rows, (all) => isUnique(all.toSorted(byTime)) === isDistinct(all)),
      { numRuns: 500 },
    );
    fc.assert(
      fc.property(rows, (all) => isUnique(all.toSorted(bySite)) === isDistinct(all)),
      { numRuns: 500 },
    );
  });

  test("a file whose keys have no time is never called unique", () => {
    expect(new KeyOrder([{ name: "site_id", sql: "text", key: true }]).isUnique).toBe(false);
  });
});
