import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { SKILLS } from "../../lib/core/records.ts";
import { buildQueue, type QueueInput, type ScoredSite } from "../../lib/dispatch/queue.ts";
import { URGENCIES } from "../../lib/dispatch/urgency.ts";
import {
  AS_OF,
  DAY_MS,
  sampleCorrelation,
  sampleCrew,
  sampleDiagnosis,
  sampleEpisode,
  sampleInspection,
  sampleVisit,
  scored,
} from "../support/sample-site.ts";

const queueOf = (sites: ScoredSite[], over: Partial<QueueInput> = {}) =>
  buildQueue({
    sites,
    crews: [sampleCrew()],
    visits: [],
    accountCurrency: "USD",
    rates: new Map(),
    asOf: AS_OF,
    ...over,
  });
const likely = (p: number) => sampleDiagnosis({ open_section_bond: p });
const live = {
  inspections: [
    sampleInspection({ check: "section_potential", unit: "volt", quantity: "dc", value: "120", sectionId: "A" }),
  ],
};

describe("buildQueue", () => {
  test("make_safe comes before urgent before planned, whatever the money", () => {
    const queue = queueOf([
      scored("planned", { diagnosis: likely(0.3), site: { insuredValue: 1e9, access: "residential" } }),
      scored("urgent", { diagnosis: likely(0.6), site: { access: "fenced" } }),
      scored("hazard", { records: live, site: { access: "fenced", insuredValue: 1 } }),
    ]);
    expect(queue.visits.map((visit) => [visit.siteId, visit.urgency, visit.rank])).toEqual([
      ["hazard", "make_safe", 1],
      ["urgent", "urgent", 2],
      ["planned", "planned", 3],
    ]);
  });

  test("inside a class the order is loss avoided per cost", () => {
    const queue = queueOf([
      scored("near", { diagnosis: likely(0.3) }),
      scored("far", { diagnosis: likely(0.3), site: { latitude: 40.9 } }),
      scored("worse", { diagnosis: likely(0.35) }),
    ]);
    expect(queue.visits.map((visit) => visit.siteId)).toEqual(["worse", "near", "far"].slice(0, queue.visits.length));
    const ratios = queue.visits.map((visit) => visit.expectedLossAvoided / visit.visitCost);
    expect(ratios).toEqual([...ratios].sort((a, b) => b - a));
  });

  test("a site that is not worth its trip is watched, told why and what would change it, and never called safe", () => {
    const queue = queueOf([scored("quiet")]);
    expect(queue.visits).toEqual([]);
    expect(queue.watch).toHaveLength(1);
    expect(queue.watch[0]?.wouldChange).toMatch(/USD more/);
    expect(`${queue.watch[0]?.reason}${queue.watch[0]?.wouldChange}`).not.toMatch(/\bsafe\b/);
  });

  test("unknown access is as urgent as public access", () => {
    const at = (access: "public" | "fenced" | null) =>
      queueOf([scored("S", { diagnosis: likely(0.45), site: { access } })]).visits[0]?.urgency;
    expect(at("public")).toBe("urgent");
    expect(at(null)).toBe("urgent");
    expect(at("fenced")).not.toBe("urgent");
  });

  test("a failed bond or insulation reading without a repair is urgent", () => {
    const failed = {
      inspections: [
        sampleInspection({
          check: "insulation_resistance",
          unit: "megohm",
          value: "0.4",
          outcome: "fail",
          inverterId: "I1",
          testVoltageV: 1000,
        }),
      ],
    };
    expect(queueOf([scored("S", { records: failed })]).visits[0]).toMatchObject({ urgency: "urgent" });
  });

  test("a currency without a rate goes to watch unless make_safe", () => {
    const foreign = { currency: "EUR" };
    const queue = queueOf([
      scored("money", { diagnosis: likely(0.3), site: foreign }),
      scored("hazard", { records: live, site: foreign }),
    ]);
    expect(queue.visits.map((visit) => visit.siteId)).toEqual(["hazard"]);
    expect(queue.watch).toMatchObject([{ siteId: "money", wouldChange: "A rate from EUR to USD." }]);
    const rated = queueOf([scored("money", { diagnosis: likely(0.3), site: foreign })], {
      rates: new Map([["EUR", 1.1]]),
    });
    expect(rated.visits.map((visit) => visit.siteId)).toEqual(["money"]);
    expect(rated.currency).toBe("USD");
  });

  test("planned and promised visits keep their id; a promise is kept even where it does not pay", () => {
    const keep = queueOf([scored("S1", { diagnosis: likely(0.3) })], { visits: [sampleVisit({})] });
    expect(keep.visits[0]?.visitId).toBe("V9");
    expect(queueOf([scored("S1")], { visits: [sampleVisit({})] }).visits).toEqual([]);
    const promised = queueOf([scored("S1")], {
      visits: [sampleVisit({ visitId: "V1" }), sampleVisit({ visitId: "V2", status: "promised" })],
    });
    expect(promised.visits[0]).toMatchObject({ visitId: "V2", urgency: "planned" });
    expect(promised.visits[0]?.reasons).toContain("This visit has been promised.");
  });

  test("a new id is stable and is not one that an earlier visit holds", () => {
    const sites = [scored("S1", { diagnosis: likely(0.3) })];
    expect(queueOf(sites).visits[0]?.visitId).toBe("visit-1-S1");
    expect(
      queueOf(sites, { visits: [sampleVisit({ visitId: "visit-1-S1", status: "cancelled" })] }).visits[0]?.visitId,
    ).toBe("visit-2-S1");
  });

  test("a planned site visited days ago waits until something happens there", () => {
    const visits = [sampleVisit({ status: "done", promisedTo: AS_OF - 5 * DAY_MS })];
    const quiet = scored("S1", { diagnosis: likely(0.3) });
    expect(queueOf([quiet], { visits }).watch[0]?.reason).toMatch(/Visited in the last 30 days/);
    const faulted = scored("S1", {
      diagnosis: likely(0.3),
      correlation: sampleCorrelation({ episodes: [sampleEpisode(AS_OF - DAY_MS, 2)] }),
    });
    expect(queueOf([faulted], { visits }).visits).toHaveLength(1);
    expect(queueOf([scored("S1", { records: live })], { visits }).visits[0]?.urgency).toBe("make_safe");
  });

  test("make_safe says to keep people off and not to reset, and never that isolation makes metal harmless", () => {
    const [visit] = queueOf([scored("S1", { records: live })]).visits;
    const text = visit?.reasons.join(" ") ?? "";
    expect(text).toMatch(/keep people off and do not reset/);
    expect(text).toMatch(/stays live in light/);
  });

  test("skills that no crew has are named", () => {
    const [visit] = queueOf([scored("S1", { records: live })], {
      crews: [sampleCrew({ skills: ["electrician"] })],
    }).visits;
    expect(visit?.trip.lacking).toEqual(["roof"]);
    expect(visit?.reasons.join(" ")).toContain("lacking: roof");
  });

  test("without crews the default trip is used", () => {
    const [visit] = queueOf([scored("S1", { records: live })], { crews: [] }).visits;
    expect(visit?.trip.crewId).toBeNull();
    expect(visit?.visitCost).toBeGreaterThan(0);
  });

  test("two sites of one id are refused", () => {
    expect(() => queueOf([scored("S1"), scored("S1")])).toThrow(RangeError);
  });

  test("every site is in one list, order follows class and ratio, numbers are finite, and the input's order is ignored", () => {
    const draw = fc.record({
      bond: fc.double({ min: 0, max: 1, noNaN: true }),
      energized: fc.double({ min: 0, max: 1, noNaN: true }),
      access: fc.constantFrom("public", "residential", "commercial", "fenced", null),
      currency: fc.constantFrom("USD", "EUR", null),
      annualKwh: fc.constantFrom(0, 20000, null),
      insuredValue: fc.constantFrom(0, 50000, null),
      latitude: fc.double({ min: 38, max: 42, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(draw, { minLength: 1, maxLength: 8 }), (draws) => {
        const sites = draws.map(({ bond, energized, ...site }, i) =>
          scored(`S${i}`, {
            site,
            diagnosis: sampleDiagnosis(
              { open_section_bond: bond },
              { energizedMetal: { p: energized, low: energized / 2, high: energized } },
            ),
          }),
        );
        const queue = queueOf(sites);
        expect([...queue.visits, ...queue.watch].map((each) => each.siteId).sort()).toEqual(
          sites.map((each) => each.records.site.siteId).sort(),
        );
        const keys = queue.visits.map(
          (visit) => [URGENCIES.indexOf(visit.urgency), -visit.expectedLossAvoided / visit.visitCost] as const,
        );
        for (let i = 1; i < keys.length; i++) {
          const [a, b] = [keys[i - 1], keys[i]] as [readonly [number, number], readonly [number, number]];
          expect(a[0] < b[0] || (a[0] === b[0] && a[1] <= b[1])).toBe(true);
        }
        queue.visits.forEach((visit, i) => {
          expect(visit.rank).toBe(i + 1);
          for (const value of [visit.expectedLoss, visit.expectedLossAvoided, visit.visitCost, visit.hoursOnSite])
            expect(Number.isFinite(value) && value >= 0).toBe(true);
          expect(visit.expectedLossAvoided).toBeLessThanOrEqual(visit.expectedLoss + 1e-9);
          expect(visit.skills.every((skill) => SKILLS.includes(skill))).toBe(true);
          expect(visit.checklist.length).toBeGreaterThan(0);
          expect(visit.reasons.length).toBeGreaterThan(0);
        });
        expect(queueOf([...sites].reverse())).toEqual(queue);
      }),
      { numRuns: 60 },
    );
  });
});
