import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { FaultRow } from "../../lib/core/records.ts";
import { bondUnits } from "../../lib/faults/bond-units.ts";
import { inverterEpisodes, unitEpisodes } from "../../lib/faults/episodes.ts";
import { eventSpans } from "../../lib/faults/fault-spans.ts";
import { gridOutages, powerLosses } from "../../lib/faults/power-loss.ts";
import { sampleInverter, sampleSection } from "../support/sample-site.ts";

const HOUR = 3_600_000;
/** Noon by the sun at longitude 0, so nightfall is far. */
const NOON = Date.UTC(2025, 5, 10, 12);
const EQUATOR = { latitude: 10, longitude: 0 };

function row(startHours: number, endHours: number | null, over: Partial<FaultRow> = {}): FaultRow {
  return {
    siteId: "S",
    inverterId: "I1",
    startedAt: NOON + startHours * HOUR,
    endedAt: endHours === null ? null : NOON + endHours * HOUR,
    code: "1",
    codeSystem: "sunspec_evt1",
    message: null,
    resetAt: null,
    resetBy: null,
    ticketId: null,
    closedAs: null,
    ...over,
  };
}

const episodesOf = (rows: FaultRow[]) => inverterEpisodes(eventSpans(rows, new Map()).spans);

describe("inverterEpisodes", () => {
  test("merges while the next start is at most three hours after the running latest end, and not beyond", () => {
    expect(episodesOf([row(0, 1), row(4, 5)])).toHaveLength(1);
    expect(episodesOf([row(0, 1), row(4.01, 5)])).toHaveLength(2);
    // The first row outlasts the second: the gap is counted from the latest end, not the last row's.
    expect(episodesOf([row(0, 6), row(1, 2), row(8.5, 9)])).toHaveLength(1);
  });

  test("does not depend on the order of the rows, and merging never changes how many rows there were", () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 0, max: 9 })), { maxLength: 30 }),
        (spans) => {
          const rows = spans.map(([start, length]) => row(start, start + length));
          const forward = episodesOf(rows);
          expect(episodesOf([...rows].reverse()).map((e) => [e.start, e.end])).toEqual(
            forward.map((e) => [e.start, e.end]),
          );
          const { duplicates } = eventSpans(rows, new Map()).counts;
          expect(forward.reduce((sum, e) => sum + e.rows, 0) + duplicates).toBe(rows.length);
          forward.forEach((e, i) => {
            if (i > 0) expect(e.start - (forward[i - 1] as { end: number }).end).toBeGreaterThan(3 * HOUR);
          });
        },
      ),
    );
  });

  test("only the ground-fault event makes episodes; a bitfield with several bits counts once as a ground fault", () => {
    const { spans, counts } = eventSpans(
      [row(0, 1, { code: "16" }), row(20, 21, { code: "17" }), row(40, 41, { code: "E1", codeSystem: "own" })],
      new Map(),
    );
    expect(inverterEpisodes(spans)).toHaveLength(1);
    expect(counts).toMatchObject({ groundFaultRows: 1, otherRows: 2, unknownCodes: 1 });
  });

  test("a row of 0 ends what is open and is no event", () => {
    const { spans, counts } = eventSpans([row(0, null), row(2, null, { code: "0" })], new Map());
    const [episode] = inverterEpisodes(spans);
    expect(episode).toMatchObject({ end: NOON + 2 * HOUR, endUnknown: false });
    expect(counts).toMatchObject({ endMarkers: 1, missingEnds: 0 });
  });

  test("polls with the bit set are one event up to the poll without it, even across a night; other bits do not end it", () => {
    const polls = [row(0, null), row(0.25, null), row(18, null, { code: "5" }), row(19, null, { code: "4" })];
    const back = row(19.5, null, { code: "0" });
    const { spans } = eventSpans([...polls, back, row(40, null), row(41, null, { code: "0" })], new Map());
    const own = inverterEpisodes(spans);
    expect(own.map((e) => [e.start, e.end, e.endUnknown])).toEqual([
      [NOON, NOON + 19 * HOUR, false],
      [NOON + 40 * HOUR, NOON + 41 * HOUR, false],
    ]);
    expect(spans.filter((s) => s.event === "AC_DISCONNECT").every((s) => s.end === NOON + 19.5 * HOUR)).toBe(true);
  });

  test("without end markers in a log, rows without an end that lie apart are events whose end is not known", () => {
    const own = episodesOf([row(0, null), row(100, null)]);
    expect(own.map((e) => e.endUnknown)).toEqual([true, true]);
  });

  test("a not-implemented value is no event and ends nothing", () => {
    for (const code of ["0xFFFFFFFF", "4294967295", "0xFFFF", "65535"]) {
      const { spans, counts } = eventSpans([row(0, null), row(1, null, { code })], new Map());
      expect(inverterEpisodes(spans)[0]).toMatchObject({ endUnknown: true, rows: 1 });
      expect(counts).toMatchObject({ notImplemented: 1, endMarkers: 0 });
    }
  });

  test("rows are accounted for: ground faults, others, not implemented, end markers and duplicates add up", () => {
    const twice = row(0, 1);
    const rows = [twice, twice, row(2, 3, { code: "16" }), row(4, 5, { code: "0xFFFF" }), row(6, null, { code: "0" })];
    const { counts } = eventSpans(rows, new Map());
    expect(counts.groundFaultRows + counts.otherRows + counts.notImplemented + counts.endMarkers).toBe(4);
    expect(counts).toMatchObject({ rows: 5, duplicates: 1 });
  });

  test("an end before its start is not believed", () => {
    const { spans, counts } = eventSpans([row(5, 4)], new Map());
    expect(counts).toMatchObject({ endBeforeStart: 1, missingEnds: 1 });
    expect(inverterEpisodes(spans)[0]).toMatchObject({ end: NOON + 5 * HOUR, endUnknown: true });
  });

  test("counts rows out of order, overlapping, and without an end", () => {
    const { counts } = eventSpans([row(5, 6), row(0, 4), row(3, null)], new Map());
    expect(counts).toMatchObject({ rows: 3, outOfOrder: 2, overlapping: 1, missingEnds: 1 });
  });
});

describe("bondUnits", () => {
  const inverters = ["I1", "I2", "I3"].map((inverterId) => sampleInverter({ inverterId }));
  test("joins inverters whose sections are bonded to each other, or that share a combiner; the bus joins nothing", () => {
    const section = (sectionId: string, inverterId: string, over = {}) =>
      sampleSection({ sectionId, inverterId, bondedTo: null, combinerId: null, ...over });
    const bonded = bondUnits(inverters, [
      section("A", "I1", { bondedTo: "B" }),
      section("B", "I2"),
      section("C", "I3", { bondedTo: "bus" }),
    ]);
    expect(bonded.map((u) => u.inverterIds)).toEqual([["I1", "I2"], ["I3"]]);
    const combined = bondUnits(inverters, [
      section("A", "I1", { combinerId: "K" }),
      section("B", "I3", { combinerId: "K" }),
    ]);
    expect(combined.map((u) => u.inverterIds)).toEqual([["I1", "I3"], ["I2"]]);
    expect(
      bondUnits(inverters, [section("A", "I1", { bondedTo: "bus" }), section("B", "I2", { bondedTo: "bus" })]),
    ).toHaveLength(3);
  });
});

describe("unitEpisodes", () => {
  const units = [{ unitId: "I1", inverterIds: ["I1", "I2"] }];
  const of = (rows: FaultRow[]) => {
    const { spans } = eventSpans(rows, new Map());
    const losses = powerLosses(spans, [], gridOutages(spans, ["I1", "I2"]));
    return unitEpisodes(inverterEpisodes(spans), units, EQUATOR, losses).map((e) => e.episode);
  };

  test("overlapping episodes of a unit are one with both inverters in its signature; apart they are two", () => {
    const together = of([row(0, 2), row(1, 3, { inverterId: "I2" })]);
    expect(together).toHaveLength(1);
    expect(together[0]).toMatchObject({
      inverterIds: ["I1", "I2"],
      onset: NOON,
      end: NOON + 3 * HOUR,
      rows: 2,
      censored: null,
    });
    expect(of([row(0, 1), row(2, 3, { inverterId: "I2" })])).toHaveLength(2);
  });

  test("an end at nightfall, at loss of power, or not logged is censored and never called cleared on drying", () => {
    expect(of([row(0, 5.9)])[0]?.censored).toBe("nightfall");
    expect(of([row(0, 2), row(2.2, 2.5, { code: "16" })])[0]?.censored).toBe("power_loss");
    expect(of([row(0, null)])[0]).toMatchObject({ censored: "end_unknown", end: null });
    expect(of([row(0, 4)])[0]?.censored).toBeNull();
  });

  test("what an inverter logs of its AC side at the moment of its trip is the trip, not a loss of power", () => {
    const trip = [row(0, 0.3), row(0.01, 0.4, { code: "4" })];
    expect(of(trip)[0]?.censored).toBeNull();
    // Seen by every inverter of the site in the same minute, it is the grid.
    expect(of([...trip, row(0.011, 0.4, { code: "4", inverterId: "I2" })])[0]?.censored).toBe("power_loss");
  });
});

describe("gridOutages", () => {
  test("is the same minute on every inverter of a site, and nothing else", () => {
    const spans = (rows: FaultRow[]) => eventSpans(rows, new Map()).spans;
    const both = [row(0, 1, { code: "16" }), row(0.01, 1, { code: "16", inverterId: "I2" })];
    expect(gridOutages(spans(both), ["I1", "I2"])).toEqual([{ start: NOON, end: NOON + HOUR }]);
    expect(gridOutages(spans(both.slice(0, 1)), ["I1", "I2"])).toEqual([]);
    expect(gridOutages(spans(both.slice(0, 1)), ["I1"])).toEqual([]);
  });
});
