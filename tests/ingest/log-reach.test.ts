import fc from "fast-check";
import { expect, test } from "vitest";
import { LogReach } from "../../lib/ingest/log-reach.ts";

const time = (hour: number) => hour * 3_600_000;

test("in any order of rows, tells each inverter's first and last start and latest end, and the months of starts", () => {
  const row = fc.record({
    site: fc.constantFrom("a", "b"),
    inverter: fc.constantFrom("1", "2"),
    start: fc.integer({ min: 400_000, max: 403_000 }),
    lasts: fc.option(fc.integer({ min: 0, max: 2000 })),
  });
  fc.assert(
    fc.property(fc.array(row, { maxLength: 30 }), (rows) => {
      const reach = new LogReach();
      for (const r of rows) {
        reach.look(r.site, r.inverter, time(r.start), time(r.start + (r.lasts ?? 0)));
      }
      for (const { siteId, inverterId, first, last, end } of reach.inverters) {
        const own = rows.filter((r) => r.site === siteId && r.inverter === inverterId);
        expect(first).toBe(time(Math.min(...own.map((r) => r.start))));
        expect(last).toBe(time(Math.max(...own.map((r) => r.start))));
        expect(end).toBe(time(Math.max(...own.map((r) => r.start + (r.lasts ?? 0)))));
      }
      expect(reach.inverters.length).toBe(new Set(rows.map((r) => `${r.site}/${r.inverter}`)).size);
      expect(reach.months).toEqual(
        [...new Set(rows.map((r) => new Date(time(r.start)).toISOString().slice(0, 7)))].sort(),
      );
    }),
  );
});
