import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CHECK_CATALOGUE } from "../../lib/grounding/check-catalogue.ts";
import { checklistFor } from "../../lib/visit/checklist.ts";
import { VISIT_MINUTES } from "../../lib/visit/shorten-steps.ts";
import { visitSteps } from "../../lib/visit/visit-steps.ts";
import { anyRecords, listOf } from "../support/any-records.ts";
import {
  AS_OF,
  atTime,
  sampleCorrelation,
  sampleDiagnosis,
  sampleInspection,
  sampleInverter,
  sampleRecords,
  sampleSection,
} from "../support/sample-site.ts";

const DAY_MS = 86_400_000;
const names = Array.from({ length: 12 }, (_, i) => `S${String(i + 1).padStart(2, "0")}`);
/** Twelve sections on three inverters, of which nothing was ever checked. */
const large = () =>
  sampleRecords({
    sections: names.map((sectionId, i) => sampleSection({ sectionId, inverterId: `I${1 + (i % 3)}` })),
    inverters: ["I1", "I2", "I3"].map((inverterId) => sampleInverter({ inverterId })),
  });
const causes = { open_section_bond: 0.5, high_resistance_bond: 0.3, connector_ingress: 0.2 };
const keyOf = ({
  check,
  sectionId,
  inverterId,
}: {
  check: string;
  sectionId: string | null;
  inverterId: string | null;
}) => `${check}/${sectionId}/${inverterId}`;

describe("a checklist of a large site", () => {
  test("fits into one visit, and every line that does not is still open: none is lost, none twice", () => {
    const list = listOf(large(), causes);
    const { steps } = visitSteps({
      ...{ records: large(), diagnosis: sampleDiagnosis(causes), correlation: sampleCorrelation(), asOf: AS_OF },
    });
    expect(list.hoursOnSite).toBeLessThanOrEqual(VISIT_MINUTES / 60 + 0.25);
    expect(list.stillOpen.length).toBeGreaterThan(10);
    const both = [...list.items, ...list.stillOpen].map(keyOf).sort();
    expect(both).toEqual(steps.map(keyOf).sort());
  });

  test("measures the voltage wherever anything else is done, and at as many places as fit", () => {
    const { items } = listOf(large(), causes);
    const measured = new Set(
      items.filter((i) => i.check === "section_potential").map((i) => `${i.sectionId}/${i.inverterId}`),
    );
    for (const item of items) if (item.sectionId !== null) expect(measured).toContain(`${item.sectionId}/null`);
    expect(names.every((name) => measured.has(`${name}/null`))).toBe(true);
  });

  test("begins where the inverter logged most, and goes on next time where evidence is lacking", () => {
    const correlation = sampleCorrelation();
    const episode = {
      ...(correlation.episodes[0] as object),
      inverterIds: ["I2"],
    } as (typeof correlation.episodes)[number];
    const asked = {
      ...{ records: large(), diagnosis: sampleDiagnosis(causes), asOf: AS_OF },
      correlation: { ...correlation, episodes: [episode, episode] },
    };
    const jumpers = (list: ReturnType<typeof checklistFor>) =>
      list.items.filter((item) => item.check === "section_jumper").map((item) => item.sectionId as string);
    const first = checklistFor(asked);
    expect(jumpers(first).length).toBeGreaterThan(0);
    for (const name of ["S02", "S05"]) expect(jumpers(first)).toContain(name);
    // Everything on the first list was checked and passed a month ago.
    const inspections = first.items.map((item) =>
      sampleInspection({
        ...{ check: item.check, sectionId: item.sectionId, inverterId: item.inverterId, outcome: "pass" },
        inspectedAt: atTime(new Date(AS_OF - 30 * DAY_MS).toISOString()),
      }),
    );
    const next = checklistFor({ ...asked, records: { ...large(), inspections } });
    const before = new Set(jumpers(first));
    expect(jumpers(next).some((name) => !before.has(name))).toBe(true);
  });

  test("a failed link stays on the list however long that makes it", () => {
    const inspections = names.flatMap((sectionId) => [
      sampleInspection({
        check: "section_jumper",
        sectionId,
        inverterId: null,
        outcome: "fail",
        inspectedAt: atTime(new Date(AS_OF - DAY_MS).toISOString()),
      }),
    ]);
    const list = listOf({ ...large(), inspections }, causes);
    const asked = new Set(list.items.filter((item) => item.check === "section_jumper").map((item) => item.sectionId));
    for (const name of names) expect(asked).toContain(name);
  });

  test("an emergency is not shortened, and a small site is asked all", () => {
    const asked = {
      records: large(),
      diagnosis: sampleDiagnosis(causes),
      correlation: sampleCorrelation(),
      asOf: AS_OF,
    };
    expect(checklistFor({ ...asked, emergency: true }).stillOpen).toEqual([]);
    expect(listOf(sampleRecords()).stillOpen).toEqual([]);
  });

  test("whatever the records: no line is lost, and what is too long for a visit has only what must be done", () => {
    fc.assert(
      fc.property(anyRecords, fc.integer({ min: 1, max: 15 }), (drawn, times) => {
        const records = {
          ...drawn,
          sections: drawn.sections.flatMap((section) =>
            Array.from({ length: times }, (_, k) => ({
              ...section,
              sectionId: k === 0 ? section.sectionId : `${section.sectionId}${k}`,
            })),
          ),
        };
        const asked = { records, diagnosis: sampleDiagnosis(causes), correlation: sampleCorrelation(), asOf: AS_OF };
        const list = checklistFor(asked);
        const { steps } = visitSteps(asked);
        expect([...list.items, ...list.stillOpen].map(keyOf).sort()).toEqual(steps.map(keyOf).sort());
        const must = new Map(steps.map((step) => [keyOf(step), step.level]));
        const minutes = list.items.reduce((sum, item) => sum + CHECK_CATALOGUE[item.check].minutes, 0);
        const only = list.items.every(
          (item) =>
            must.get(keyOf(item)) === 0 ||
            item.check === "section_potential" ||
            (item.sectionId === null && item.inverterId === null),
        );
        if (minutes > VISIT_MINUTES) expect(only).toBe(true);
      }),
      { numRuns: 60 },
    );
  });
});
