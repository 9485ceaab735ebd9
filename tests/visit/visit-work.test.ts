import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { makeSafeProgress } from "../../lib/visit/make-safe-state.ts";
import { readEntry } from "../../lib/visit/reading-entry.ts";
import { typedStop, unreadStops } from "../../lib/visit/stop-draft.ts";
import { isStopReading, standingStops, type VoltReading } from "../../lib/visit/stop-rule.ts";
import { mergeEdits, type VisitEdit } from "../../lib/visit/visit-edits.ts";
import { inspectionRows, itemKey, voltReadings, WHOLE_VISIT } from "../../lib/visit/visit-records.ts";
import { nextVisitStates, VISIT_STATES } from "../../lib/visit/visit-state.ts";

const reading = (over: Partial<VoltReading>): VoltReading => ({
  ...{ id: "1", item: "a", pointA: "section:1", pointB: "ground_bus", volts: 31, quantity: "dc" },
  ...{ meterImpedance: "high", at: 0, inspector: null, licence: null, qualified: false },
  ...over,
});
const lowering: Partial<VoltReading> = {
  ...{ id: "2", meterImpedance: "low", volts: 2, at: 1, inspector: "A. Tester", licence: "L-1", qualified: true },
};

// The limits are engineering judgement below the touch-voltage limits of IEC 60364-4-41.
describe("isStopReading", () => {
  test.each([
    [15, "ac_rms", true],
    [14.9, "ac_rms", false],
    [30, "dc", true],
    [29.9, "dc", false],
    [-31, "dc", true],
    [15, null, true],
  ] as const)("%s V %s: %s", (volts, quantity, stop) => {
    expect(isStopReading({ volts, quantity })).toBe(stop);
  });
});

describe("standingStops", () => {
  test("a lower value of another person lowers nothing", () => {
    expect(standingStops([reading({}), reading({ volts: 1, at: 1 })])).toHaveLength(1);
  });
  test("a low-impedance re-reading by a named, licensed person who says to be qualified lowers it", () => {
    expect(standingStops([reading({}), reading(lowering)])).toHaveLength(0);
    const turned = { ...lowering, pointA: "ground_bus", pointB: "section:1" };
    expect(standingStops([reading({}), reading(turned)])).toHaveLength(0);
  });
  test.each<[string, Partial<VoltReading>]>([
    ["without a licence", { licence: " " }],
    ["without a name", { inspector: null }],
    ["without the statement", { qualified: false }],
    ["of the other quantity", { quantity: "ac_rms" }],
    ["not later", { at: 0 }],
    ["at another pair of points", { pointB: "earth" }],
    ["without one of the points", { pointB: null }],
    ["from a point to itself", { pointB: "section:1" }],
  ])("a re-reading %s lowers nothing", (_, over) => {
    expect(standingStops([reading({}), reading({ ...lowering, ...over })])).toHaveLength(1);
  });
  test("a stop without points is lowered by nothing until the same reading is written again with them", () => {
    const bare = reading({ pointA: null, pointB: null });
    const bareLower = reading({ ...lowering, pointA: null, pointB: null });
    expect(standingStops([bare, bareLower, reading(lowering)])).toHaveLength(1);
    const again = reading({ id: "3", at: 1 });
    expect(standingStops([bare, again]).map((one) => one.id)).toEqual(["3"]);
    expect(standingStops([bare, again, reading({ ...lowering, at: 2 })])).toHaveLength(0);
    expect(standingStops([bare, reading({ id: "3", at: 1, volts: 32 })])).toHaveLength(2);
  });
  test("a stop read without its quantity is lowered only by both quantities", () => {
    const stop = reading({ quantity: null, volts: 20 });
    expect(standingStops([stop, reading(lowering)])).toHaveLength(1);
    expect(standingStops([stop, reading(lowering), reading({ ...lowering, quantity: "ac_rms" })])).toHaveLength(0);
  });
  test("no further high-impedance reading ever takes a stop away", () => {
    fc.assert(
      fc.property(fc.array(fc.record({ volts: fc.float({ noNaN: true }), at: fc.nat() })), (more) => {
        const all = [reading({}), ...more.map((one) => reading(one))];
        expect(standingStops(all).length).toBeGreaterThanOrEqual(1);
      }),
    );
  });
});

describe("typedStop", () => {
  test("a stop keeps its id while digits are added, and deleting digits never takes it away", () => {
    let held: VoltReading | null = null;
    for (const [n, volts] of [3, 31, 315, 31, 3, 0].entries()) held = typedStop(held, reading({ id: `t${n}`, volts }));
    expect(held).toMatchObject({ id: "t1", volts: 315 });
  });
  test("no value below the limit raises one", () => {
    expect(typedStop(null, reading({ volts: 29.9 }))).toBe(null);
    expect(typedStop(null, reading({ volts: Number.NaN }))).toBe(null);
  });
});

describe("unreadStops", () => {
  test("a new stop after one that was read and lowered is unread", () => {
    const read = new Set(["1"]);
    const log = [reading({}), reading(lowering)];
    expect(unreadStops(standingStops(log), read)).toEqual([]);
    const again = [...log, reading({ id: "9", at: 2 })];
    expect(unreadStops(standingStops(again), read).map((one) => one.id)).toEqual(["9"]);
  });
});

const entry = { check: "bond_resistance", unit: "ohm", quantity: null, meterImpedance: null, method: null } as const;
describe("readEntry", () => {
  test("negative ohm is refused, a negative voltage is judged in full", () => {
    expect(readEntry({ ...entry, text: "-3" }).kind).toBe("refused");
    const volts = { ...entry, check: "section_potential", unit: "volt", quantity: "dc" } as const;
    expect(readEntry({ ...volts, text: "-31" })).toMatchObject({ kind: "judged", verdict: "stop" });
  });
  test("megohm typed as ohm is asked about", () => {
    expect(readEntry({ ...entry, text: "2000000" }).kind).toBe("ask");
    expect(readEntry({ ...entry, check: "insulation_resistance", text: "5" }).kind).toBe("ask");
  });
  test("nothing is ever asked or refused before a stop", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 30, max: 1e6, noNaN: true }),
        fc.constantFrom("ac_rms", "dc", null),
        (v, quantity) => {
          const volts = { ...entry, check: "section_potential", unit: "volt", quantity } as const;
          expect(readEntry({ ...volts, text: String(v) })).toMatchObject({ kind: "judged", verdict: "stop" });
        },
      ),
    );
  });
});

const volts = (over: object, edit: Partial<VisitEdit> = {}): VisitEdit => ({
  ...{ edit_id: "e", visit_id: "v", item: itemKey("section_potential", "1", null), field: "reading", at: 0 },
  ...{ by: "A. Tester", device: "d", seq: 0 },
  value: JSON.stringify({
    ...{ text: "31", unit: "volt", quantity: "dc", meter: "low", method: null, licence: "L-1", qualified: true },
    ...{ pointA: "section:1", pointB: "ground_bus", ...over },
  }),
  ...edit,
});
const signed = volts({}, { edit_id: "s", item: WHOLE_VISIT, field: "signed", value: "A. Tester, L-1", at: 9 });
describe("voltReadings", () => {
  test.each(["not named", " Not named ", ""])("a reading by %j lowers no stop, whatever licence it gives", (by) => {
    const stop = volts({});
    const lower = volts({ text: "2" }, { edit_id: "f", at: 1, by });
    expect(standingStops(voltReadings([stop, lower]))).toHaveLength(1);
    expect(standingStops(voltReadings([stop, { ...lower, by: "B. Tester" }]))).toHaveLength(0);
  });
  test("an edit of a phone that says nothing of being qualified lowers no stop", () => {
    const lower = volts({ text: "2", qualified: undefined }, { edit_id: "f", at: 1 });
    expect(standingStops(voltReadings([volts({}), lower]))).toHaveLength(1);
  });
  test("a stop is told by its edit, also when another one was lowered before", () => {
    const first = volts({});
    const lower = volts({ text: "2" }, { edit_id: "f", at: 1 });
    const second = volts({ text: "40" }, { edit_id: "g", at: 2 });
    expect(standingStops(voltReadings([first, lower, second])).map((one) => one.id)).toEqual(["g"]);
  });
});

describe("inspectionRows", () => {
  test("AC and DC of one person at one line, and each pair of points, become rows of their own", () => {
    const read = [
      volts({ text: "0.4", quantity: "ac_rms" }, { edit_id: "1", seq: 1 }),
      volts({ text: "0.6" }, { edit_id: "2", seq: 2 }),
      volts({ text: "0.7", pointB: "earth" }, { edit_id: "3", seq: 3 }),
      volts({ text: "0.8", pointA: "earth", pointB: "section:1" }, { edit_id: "4", seq: 4 }),
    ];
    const rows = inspectionRows("S1", [...read, signed]);
    expect(rows.map((row) => [row.value, row.quantity, row.point_b])).toEqual([
      ["0.4", "ac_rms", "ground_bus"],
      ["0.6", "dc", "ground_bus"],
      ["0.8", "dc", "section:1"],
    ]);
  });
  test("a row never carries a name that nobody gave, nor a licence that lowers a stop without the statement", () => {
    const [row] = inspectionRows("S1", [volts({ qualified: false }, { by: "not named" })]);
    expect(row).toMatchObject({ inspector: "", inspector_licence: "", outcome: "fail" });
    expect(row?.note).toContain("L-1");
    expect(inspectionRows("S1", [volts({})])[0]).toMatchObject({ inspector: "A. Tester", inspector_licence: "L-1" });
  });
});

describe("nextVisitStates", () => {
  test("no state leads to work while a stop stands, and every visit can end", () => {
    for (const state of VISIT_STATES) {
      const next = nextVisitStates(state, true);
      expect(next).not.toContain("working");
      expect(next).not.toContain("go");
      if (state !== "checked_out") expect(next.length).toBeGreaterThan(0);
    }
  });
  test("stopped work starts again only through a new go", () => {
    expect(nextVisitStates("stop_work", false)).not.toContain("working");
  });
});

describe("makeSafeProgress", () => {
  const minute = 60_000;
  test("an alert without a named answer escalates after 15 minutes, not before", () => {
    expect(makeSafeProgress([{ kind: "alert", at: 0 }], 15 * minute).escalate).toBe(false);
    expect(makeSafeProgress([{ kind: "alert", at: 0 }], 15 * minute + 1).escalate).toBe(true);
    const blank = [{ kind: "alert", at: 0 } as const, { kind: "acknowledged", at: 1, by: " " } as const];
    expect(makeSafeProgress(blank, 16 * minute).escalate).toBe(true);
  });
  test("nobody authorises before a test passed, and a failed test throws back to the repair", () => {
    const until = [
      { kind: "alert", at: 0 },
      { kind: "acknowledged", at: 1, by: "A" },
      { kind: "owner_told", at: 2, by: "A", whom: "the owner", means: "telephone", keepOff: true, noReset: true },
      { kind: "isolated", at: 3, by: "B", lock: "L7", photo: "p" },
      { kind: "repaired", at: 4, by: "B", cause: "open_section_bond", action: "jumper" },
    ] as const;
    const word = { kind: "authorised", at: 9, by: "C", licence: "E-1", qualified: true } as const;
    const tests = { kind: "tested", at: 5, by: "B", continuity: "pass", surface: "wet" } as const;
    expect(makeSafeProgress([...until, word], 10)).toMatchObject({ step: "repaired", next: "tested", isolatedFrom: 3 });
    expect(makeSafeProgress([...until, { ...tests, insulation: "fail" }, word], 10).next).toBe("repaired");
    expect(makeSafeProgress([...until, { ...tests, insulation: "pass" }, word], 10).next).toBe("watched");
  });
});

const edits = fc.uniqueArray(
  fc.record<VisitEdit>({
    ...{ edit_id: fc.uuid(), visit_id: fc.constant("v"), item: fc.constantFrom("i", "j") },
    ...{ field: fc.constantFrom("outcome", "note"), value: fc.constantFrom("1", "2", "3"), at: fc.nat(5) },
    ...{ by: fc.constantFrom("A", "B"), device: fc.constantFrom("d", "e"), seq: fc.nat(5) },
  }),
  { selector: (edit) => edit.edit_id },
);
describe("mergeEdits", () => {
  test("any interleaving with any repetition gives the same state", () => {
    const mixed = edits.chain((list) =>
      fc.tuple(
        fc.constant(list),
        fc.shuffledSubarray([...list, ...list], { minLength: 0 }).map((part) => part),
        fc.shuffledSubarray(list, { minLength: list.length }),
      ),
    );
    fc.assert(
      fc.property(mixed, ([list, some, all]) => {
        expect(mergeEdits([...some, ...all])).toEqual(mergeEdits(list));
      }),
    );
  });
  test("two people's different values are both kept and shown as a conflict, which agreement ends", () => {
    const edit = { visit_id: "v", item: "i", field: "outcome", at: 0, seq: 0 };
    const a = { ...edit, edit_id: "1", by: "A", device: "d", value: "pass" };
    const b = { ...edit, edit_id: "2", by: "B", device: "e", value: "fail" };
    expect(mergeEdits([a, b])[0]).toMatchObject({ conflict: true, values: [{ value: "pass" }, { value: "fail" }] });
    expect(mergeEdits([a, b, { ...a, edit_id: "3", seq: 1, value: "fail" }])[0]?.conflict).toBe(false);
  });
  test("on one phone its own count decides, even when its clock was set back", () => {
    const edit = { visit_id: "v", item: "i", field: "note", by: "A", device: "d" };
    const first = { ...edit, edit_id: "1", value: "old", at: 100, seq: 1 };
    const second = { ...edit, edit_id: "2", value: "new", at: 5, seq: 2 };
    expect(mergeEdits([second, first])[0]?.values[0]?.value).toBe("new");
  });
});
