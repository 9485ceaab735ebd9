import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { acceptedChance, evidenceCompleteness } from "../../lib/coverage/completeness.ts";
import { type CompletenessFacts, evidenceItems } from "../../lib/coverage/completeness-items.ts";
import {
  DEFAULT_COMPLETENESS_WEIGHTS,
  EVIDENCE_ITEMS,
  type EvidenceItem,
} from "../../lib/coverage/completeness-weights.ts";
import { atTime, sampleInspection, sampleInverter, sampleRecords, sampleSection } from "../support/sample-site.ts";

const facts = (over: Partial<CompletenessFacts> = {}): CompletenessFacts => ({
  records: sampleRecords({ inspections: [] }),
  faultRows: 0,
  photos: [],
  custody: [],
  clockProved: null,
  weatherKnown: null,
  since: null,
  ...over,
});
const present = (over: Partial<CompletenessFacts>) =>
  evidenceItems(facts(over))
    .filter((i) => i.present)
    .map((i) => i.item);

describe("acceptedChance", () => {
  test("is 0.30 with nothing and 0.90 with everything, the ends of the method", () => {
    expect(acceptedChance(new Set())).toBeCloseTo(0.3, 12);
    expect(acceptedChance(new Set(EVIDENCE_ITEMS))).toBeCloseTo(0.9, 12);
  });
  test("by hand: a measured value alone moves a quarter of the way in log odds", () => {
    // logit 0.3 = -0.847298, logit 0.9 = 2.197225; a quarter of the way is -0.086167, whose chance is 0.478472.
    expect(acceptedChance(new Set(["measured_value"]))).toBeCloseTo(0.478472, 5);
  });
  test("another item never lowers it, whatever the weights", () => {
    const shares = fc.array(fc.double({ min: 0.01, max: 1, noNaN: true }), { minLength: 7, maxLength: 7 });
    fc.assert(
      fc.property(shares, fc.subarray([...EVIDENCE_ITEMS]), fc.constantFrom(...EVIDENCE_ITEMS), (raw, some, one) => {
        const sum = raw.reduce((a, b) => a + b, 0);
        const share = Object.fromEntries(EVIDENCE_ITEMS.map((item, i) => [item, (raw[i] as number) / sum])) as Record<
          EvidenceItem,
          number
        >;
        const weights = { ...DEFAULT_COMPLETENESS_WEIGHTS, share };
        expect(acceptedChance(new Set([...some, one]), weights)).toBeGreaterThanOrEqual(
          acceptedChance(new Set(some), weights),
        );
      }),
    );
  });
  test("only proportions of the weights count, and a table without any is refused", () => {
    const times = (factor: number) => ({
      ...DEFAULT_COMPLETENESS_WEIGHTS,
      share: Object.fromEntries(
        EVIDENCE_ITEMS.map((item) => [item, DEFAULT_COMPLETENESS_WEIGHTS.share[item] * factor]),
      ) as Record<EvidenceItem, number>,
    });
    expect(acceptedChance(["dated_photo"], times(7))).toBeCloseTo(acceptedChance(["dated_photo"]), 12);
    expect(() => acceptedChance([], times(0))).toThrow(RangeError);
    expect(() => acceptedChance([], times(-1))).toThrow(RangeError);
  });
});

describe("evidenceCompleteness", () => {
  const found = EVIDENCE_ITEMS.map((item) => ({ item, present: item === "dated_photo", says: "" }));
  test("a missing item is worth the recovery times the rise of the chance; what is there is worth nothing more", () => {
    const { items, score, accepted } = evidenceCompleteness(found, (accepted) => 10_000 * accepted);
    expect(score).toBeCloseTo(0.18, 12);
    // By hand: log odds -0.847298 + 0.18 x 3.044522 = -0.299284 -> 0.425733; with a measured value 0.461847 -> 0.613451.
    expect(accepted).toBeCloseTo(0.425733, 5);
    expect(items.find((i) => i.item === "measured_value")?.worth).toBeCloseTo(1877.18, 1);
    expect(items.find((i) => i.item === "dated_photo")?.worth).toBe(0);
  });
  test("without a sum nothing has a worth, and no sum is made up", () => {
    expect(
      evidenceCompleteness(found, null)
        .items.filter((i) => !i.present)
        .every((i) => i.worth === null),
    ).toBe(true);
  });
});

describe("evidenceItems", () => {
  test("nothing recorded is nothing there", () => {
    expect(present({})).toEqual([]);
  });
  test("a reading counts with instrument and a calibration of the year before only", () => {
    const reading = sampleInspection({
      value: "0.05",
      unit: "ohm",
      instrumentSerial: "M-1",
      calibratedOn: "2024-01-10",
      inspectedAt: atTime("2024-05-01T15:00:00Z"),
    });
    const of = (row: typeof reading) => present({ records: sampleRecords({ inspections: [row] }) });
    expect(of(reading)).toEqual(["measured_value"]);
    expect(of({ ...reading, calibratedOn: "2023-04-01" })).toEqual([]);
    expect(of({ ...reading, calibratedOn: "2024-06-01" })).toEqual([]);
    expect(of({ ...reading, instrumentSerial: null })).toEqual([]);
    expect(of({ ...reading, inspector: "A", inspectorLicence: "L-1" })).toEqual([
      "measured_value",
      "inspector_licence",
    ]);
  });
  test("of a claim, what is older than its time does not count", () => {
    const photos = [{ takenAt: Date.UTC(2023, 0, 1) }];
    expect(present({ photos })).toEqual(["dated_photo"]);
    expect(present({ photos, since: Date.UTC(2023, 5, 1) })).toEqual([]);
    expect(present({ photos: [{ takenAt: null }] })).toEqual([]);
  });
  test("a part without a photo in place or a signature breaks the chain; no part is no chain", () => {
    const part = { tag: "T-1", photographed: true, handovers: [{ to: "A", storedAt: "store", signed: true }] };
    expect(present({ custody: [part] })).toEqual(["chain_of_custody"]);
    expect(present({ custody: [part, { ...part, photographed: false }] })).toEqual([]);
    expect(present({ custody: [{ ...part, handovers: [] }] })).toEqual([]);
  });
  test("parts are identified by every serial number and every batch and listing", () => {
    const inverters = [sampleInverter({ serial: "SN" })];
    const sections = [sampleSection({ hardwareBatch: "B1" })];
    expect(present({ records: sampleRecords({ inverters, sections, inspections: [] }) })).toEqual(["part_identity"]);
    expect(
      present({
        records: sampleRecords({
          inverters,
          sections: [...sections, sampleSection({ sectionId: "B" })],
          inspections: [],
        }),
      }),
    ).toEqual([]);
  });
  test("weather has to be known for nine hours in ten, and a clock to be tested", () => {
    expect(present({ weatherKnown: 0.9 })).toEqual(["weather_record"]);
    expect(present({ weatherKnown: 0.89 })).toEqual([]);
  });
});
