import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { overduePeople, peopleOnSite } from "../../lib/visit/check-out.ts";
import { resolutionField } from "../../lib/visit/resolution.ts";
import { recordDigest, signatureValue, signOffOf, WHOLE_VISIT } from "../../lib/visit/signature.ts";
import { siteStory } from "../../lib/visit/site-story.ts";
import type { VisitEdit } from "../../lib/visit/visit-edits.ts";
import { inspectionRows, itemKey, sharedFields } from "../../lib/visit/visit-records.ts";
import { nextVisitStates, stateLacks, VISIT_STATES } from "../../lib/visit/visit-state.ts";
import { whyOpen } from "../../lib/visit/why-open.ts";
import { strayItems, writtenItems } from "../../lib/visit/written-items.ts";
import { atTime, sampleInspection } from "../support/sample-site.ts";

let n = 0;
const edit = (over: Partial<VisitEdit>): VisitEdit => {
  n++;
  const base = { edit_id: `e${n}`, visit_id: "v", item: WHOLE_VISIT, field: "note", value: "x" };
  return { ...base, at: n, by: "A. Tester", device: "d", seq: n, ...over };
};
const DRY = itemKey("enclosure_dry", "A1", null);

describe("signOffOf", () => {
  const sign = (over: readonly VisitEdit[], part: Partial<VisitEdit> = {}) =>
    edit({
      field: "signed",
      value: signatureValue({ name: "A. Tester", licence: "L-1", over: recordDigest(over) }),
      ...part,
    });

  test("a signature stands for the record it was given for, in whatever order the edits arrive", () => {
    fc.assert(
      fc.property(fc.shuffledSubarray([1, 2, 3, 4, 5], { minLength: 5 }), (order) => {
        const record = [1, 2, 3, 4, 5].map((k) => edit({ edit_id: `r${k}`, item: DRY, field: "outcome" }));
        const signed = sign(record);
        const shuffled = order.map((k) => record[k - 1] as VisitEdit);
        expect(signOffOf([signed, ...shuffled])?.stands).toBe(true);
      }),
    );
  });
  test("anything written since, also earlier by another phone's clock, makes it one before the last change, until it is given again", () => {
    const record = [edit({ item: DRY, field: "outcome", value: "pass" })];
    const signed = sign(record);
    const late = edit({ item: DRY, field: "outcome", value: "fail", by: "B. Tester", device: "e", at: 0 });
    const all = [...record, signed, late];
    expect(signOffOf(all)).toMatchObject({ stands: false, says: "A. Tester, L-1" });
    expect(whyOpen(signOffOf(all), [])).toMatch(/^Signed before the last change/);
    expect(signOffOf([...all, sign([...record, late])])?.stands).toBe(true);
  });
  test("leaving and checking out after the signature change nothing of the record", () => {
    const record = [edit({ item: DRY, field: "outcome" })];
    const after = [edit({ field: "state", value: "checked_out" }), edit({ field: "leave_by", value: "9" })];
    expect(signOffOf([...record, sign(record), ...after])?.stands).toBe(true);
  });
  test("a signature of a phone that gives no digest is judged by that phone's own count", () => {
    const before = edit({ item: DRY, field: "outcome" });
    const signed = edit({ field: "signed", value: "A. Tester, L-1" });
    expect(signOffOf([before, signed])).toMatchObject({ stands: true, says: "A. Tester, L-1" });
    expect(signOffOf([before, signed, edit({ item: DRY, at: 0 })])?.stands).toBe(false);
  });
  test("a signature without a name stands for nothing", () => {
    expect(signOffOf([sign([], { by: "not named" })])?.stands).toBe(false);
  });
  test("no visit closes while a stop stands, and the signature is kept", () => {
    const record = [edit({ item: DRY, field: "outcome" })];
    expect(whyOpen(signOffOf([...record, sign(record)]), ["41 V DC."])).toMatch(/a stop stands.*signature is kept/i);
    expect(whyOpen(signOffOf([...record, sign(record)]), [])).toBe(null);
    expect(whyOpen(null, ["41 V DC."])).toBe(null);
  });
});

describe("conflicts", () => {
  const a = edit({ item: DRY, field: "outcome", value: "pass" });
  const b = edit({ item: DRY, field: "outcome", value: "fail", by: "B. Tester", device: "e" });
  const among = [
    { by: "A. Tester", value: "pass" },
    { by: "B. Tester", value: "fail" },
  ];
  const decision = (over: object = {}, part: Partial<VisitEdit> = {}) =>
    edit({
      ...{ item: DRY, field: resolutionField("outcome"), by: "C. Tester", device: "f" },
      value: JSON.stringify({ value: "pass", among, licence: "E-1", qualified: true, reason: "looked again", ...over }),
      ...part,
    });
  const outcome = (edits: VisitEdit[]) => sharedFields(edits).find((one) => one.field === "outcome");
  const signed = edit({ field: "signed", value: "A. Tester, L-1", at: 1e6 });

  test("a named, qualified person decides; both values stay, and the record of the worse one is replaced", () => {
    const decided = decision();
    expect(outcome([a, b, decided])).toMatchObject({
      conflict: false,
      values: [{ value: "pass" }, { value: "fail" }],
      resolved: { by: "C. Tester", value: "pass" },
    });
    const [before] = inspectionRows("S1", [a, b, signed]);
    const rows = inspectionRows("S1", [a, b, decided, signed]);
    expect(rows).toHaveLength(1);
    const key = (row: Record<string, string> | undefined) => [row?.inspected_at, row?.check, row?.section_id];
    expect(key(rows[0])).toEqual(key(before));
    expect(before).toMatchObject({ outcome: "fail", inspector: "B. Tester" });
    expect(rows[0]).toMatchObject({ outcome: "pass", inspector: "C. Tester", inspector_licence: "E-1" });
    expect(rows[0]?.note).toContain("B. Tester said fail; C. Tester decided pass. looked again");
  });
  test.each<[string, VisitEdit]>([
    ["without a licence", decision({ licence: " " })],
    ["without the statement", decision({ qualified: false })],
    ["without a name", decision({}, { by: "not named" })],
    ["for a value that nobody gave", decision({ value: "unable" })],
    ["among other values than these", decision({ among: among.slice(0, 1) })],
  ])("a decision %s decides nothing", (_, word) => {
    expect(outcome([a, b, word])).toMatchObject({ conflict: true, resolved: null });
  });
  test("a value written since opens the conflict again", () => {
    const again = edit({ item: DRY, field: "outcome", value: "unable", by: "B. Tester", device: "e" });
    expect(outcome([a, b, decision(), again])?.conflict).toBe(true);
  });
  test("readings are never decided by choosing among them; agreeing on the number ends their conflict", () => {
    const value = (text: string, by: string, over: Partial<VisitEdit> = {}) =>
      edit({
        ...{ item: DRY, field: "reading", by, device: by },
        value: JSON.stringify({ text, unit: "ohm", quantity: null, pointA: null, pointB: null, licence: by }),
        ...over,
      });
    const read = [value("0.1", "A"), value("0.4", "B")];
    const field = sharedFields(read)[0]?.field ?? "";
    const word = decision(
      { among: read.map((e) => ({ by: e.by, value: e.value })), value: read[0]?.value },
      { field: resolutionField(field) },
    );
    expect(sharedFields([...read, word])[0]).toMatchObject({ conflict: true, resolved: null });
    expect(sharedFields([...read, value("0.1", "B")])[0]?.conflict).toBe(false);
  });
  test("two people at different stages of a visit are no conflict", () => {
    const states = [edit({ field: "state", value: "working" }), edit({ field: "state", value: "arrived", by: "B" })];
    expect(sharedFields(states)).toEqual([]);
  });
});

describe("peopleOnSite", () => {
  const HOUR = 3_600_000;
  const at = (hours: number, field: string, value: string, by = "A") =>
    edit({ field, value, by, device: by, at: hours * HOUR });
  test("each person is due by their own word, else by the estimate from their arrival; the latest arrival counts", () => {
    const edits = [
      at(1, "state", "arrived"),
      at(2, "state", "checked_out"),
      at(5, "state", "arrived"),
      at(5, "state", "arrived", "B"),
      at(5, "leave_by", String(6 * HOUR), "B"),
    ];
    expect(peopleOnSite(edits, 2)).toMatchObject([
      { by: "A", arrivedAt: 5 * HOUR, leaveBy: 7 * HOUR },
      { by: "B", arrivedAt: 5 * HOUR, leaveBy: 6 * HOUR },
    ]);
    const overdue = (hours: number) => overduePeople(peopleOnSite(edits, 2), 30, hours * HOUR).map((one) => one.by);
    expect([6.5, 6.6, 7.5, 7.6].map(overdue)).toEqual([[], ["B"], ["B"], ["A", "B"]]);
  });
});

describe("stateLacks", () => {
  const nothing = { weather: "", access: "", stopReason: "", left: "" };
  test("nobody goes before weather and access are said right, each by itself, and nobody leaves without the state", () => {
    expect(stateLacks("go", nothing)).toMatch(/weather and access/);
    expect(stateLacks("go", { ...nothing, weather: "right", access: "wrong" })).not.toBe(null);
    expect(stateLacks("go", { ...nothing, weather: "right", access: "right" })).toBe(null);
    expect(stateLacks("no_go", { ...nothing, weather: "right", access: "right" })).not.toBe(null);
    expect(stateLacks("stop_work", nothing)).toMatch(/why/i);
    expect(stateLacks("checked_out", nothing)).toMatch(/state the site is left/);
    expect(stateLacks("checked_out", { ...nothing, left: "as found, locked" })).toBe(null);
  });
  test("with everything said, every state that may come next can be taken", () => {
    const said = { weather: "right", access: "wrong", stopReason: "wind", left: "as found" };
    for (const state of VISIT_STATES)
      for (const next of nextVisitStates(state, true)) expect(stateLacks(next, said)).toBe(null);
  });
});

describe("siteStory", () => {
  const weather = { driver: "rain" as const, rateRatio: 65.04, low: 21.2, high: 240, wetHours: 310, wetEpisodes: 14 };
  const base = {
    weather: { ...weather, dryHours: 2900, dryEpisodes: 1 },
    ...{ bonding: { p: 0.62, low: 0.41, high: 0.79 }, leadingCause: "open_section_bond", inspections: [] },
  };
  test("three lines: the wet, the diagnosis with its interval, the last reading and what was never measured", () => {
    const read = sampleInspection({ sectionId: "A1", value: "0.3", unit: "ohm", outcome: "fail" });
    const older = sampleInspection({ value: "9", unit: "ohm", inspectedAt: atTime("2020-01-01T00:00:00Z") });
    expect(siteStory({ ...base, inspections: [read, older] })).toEqual([
      "When wet: 14 ground faults in 310 unit-hours wet, 1 ground fault in 2,900 unit-hours dry: 65 times the dry rate (95 % interval 21 to 240).",
      "Diagnosis: bonding or grounding defect 0.62 (0.41 to 0.79); of all causes open section bond leads.",
      "Last measured: bond resistance 0.3 ohm, section A1, fail, 2024-05-01. Never measured: section potential, egc continuous, insulation resistance, electrode resistance.",
    ]);
  });
  test("too little data and unknown weather are said, never read as dry, and nothing measured is said as a gap", () => {
    const little = siteStory({ ...base, weather: { ...base.weather, driver: "not_enough_data", rateRatio: null } });
    expect(little[0]).toMatch(/not enough data to tell/);
    expect(siteStory({ ...base, weather: { ...base.weather, driver: "weather_unknown" } })[0]).toMatch(/not known/);
    expect(little[2]).toMatch(/^Last measured: nothing, ever\. Never measured: /);
  });
});

describe("writtenItems", () => {
  test("what was written at a line that left the list comes back as a line, and what names no check is still told", () => {
    const edits = [
      edit({ item: DRY, field: "outcome" }),
      edit({ item: "odd", field: "note" }),
      edit({ item: WHOLE_VISIT }),
    ];
    expect(strayItems(edits, new Set())).toEqual([DRY, "odd"]);
    expect(strayItems(edits, new Set([DRY]))).toEqual(["odd"]);
    const [line, ...more] = writtenItems(edits, new Set(), "2020");
    expect(more).toEqual([]);
    expect(line).toMatchObject({ check: "enclosure_dry", sectionId: "A1", inverterId: null });
    expect(line?.caution).toContain("live");
  });
});
