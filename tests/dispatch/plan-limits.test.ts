import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import type { PlanInput } from "../../lib/dispatch/routes/plan-input.ts";
import { planInstance } from "../../lib/dispatch/routes/plan-instance.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { planSheet } from "../../lib/dispatch/routes/plan-sheet.ts";
import { brokenSheetRules } from "../../lib/dispatch/routes/sheet-validator.ts";
import { planCase, planCrew, planVisit } from "../support/plan-cases.ts";

const QUIET = { solver: null, pricingRounds: 0, pricingNodes: 0, choiceNodes: 0 };

async function planned(input: PlanInput) {
  const built = planInstance(input);
  const { routes } = await planRoutes(built.instance, { rng: seededRng("plan"), effort: 30, ...QUIET });
  const sheet = planSheet(input, built, routes);
  expect(brokenSheetRules(input, sheet)).toEqual([]);
  const made = sheet.days.flatMap((day) => day.stops.map((stop) => stop.visitId)).sort();
  return { made, left: new Map(sheet.unserved.map((each) => [each.visitId, each])), notes: built.notes };
}

describe("a plan of what cannot all be done says what, and why, and does the rest", () => {
  test("no crews", async () => {
    const { made, left, notes } = await planned(planCase([planVisit("a")], []));
    expect(made).toEqual([]);
    expect(left.get("a")?.code).toBe("no_crew_day");
    expect(notes).toEqual(["No crew is recorded."]);
  });

  test("a base in the sea", async () => {
    const crews = [planCrew({ crewId: "wet", baseLatitude: 0, baseLongitude: 0 }), planCrew()];
    const { made, notes } = await planned(planCase([planVisit("a")], crews));
    expect(made).toEqual(["a"]);
    expect(notes).toHaveLength(1);
    expect(notes[0]).toMatch(/^Crew wet: its base lies \d+ km from the nearest visit.*check the base's coordinates/);
  });

  test("a shift that ends before it starts", async () => {
    const crews = [planCrew({ crewId: "odd", shiftStart: "16:00", shiftEnd: "08:00" }), planCrew()];
    const { made, notes } = await planned(planCase([planVisit("a")], crews));
    expect(made).toEqual(["a"]);
    expect(notes).toEqual(["Crew odd: the shift ends at 08:00, not after its start 16:00."]);
  });

  test("a matrix with a hole, an entry that is no number, and one below 0", async () => {
    const legs = new Map([
      ["crew C1>site S-a", { minutes: 25, km: 20 }],
      ["site S-a>crew C1", { minutes: Number.NaN, km: 20 }],
      ["crew C1>site S-b", { minutes: -3, km: null }],
    ]);
    const roads = { name: "The travel table", leg: (from: string, to: string) => legs.get(`${from}>${to}`) ?? null };
    const { made, notes } = await planned(planCase([planVisit("a"), planVisit("b")], [planCrew()], { roads }));
    expect(made).toEqual(["a", "b"]);
    expect(notes).toEqual([
      "The travel table lacks 5 of 6 ways, such as site S-a to site S-b; for these 1.3 times the great circle at 60 km/h is taken.",
    ]);
  });

  test("a visit longer than any shift", async () => {
    const { made, left } = await planned(
      planCase([planVisit("a"), planVisit("long", { hoursOnSite: 9 })], [planCrew()]),
    );
    expect(made).toEqual(["a"]);
    expect(left.get("long")).toMatchObject({
      code: "longer_than_shift",
      why: "9 h of work are longer than any shift.",
    });
  });

  test("all must be done and the hours are not enough", async () => {
    const visits = ["a", "b", "c", "d"].map((id) => planVisit(id, { urgency: "make_safe", hoursOnSite: 3 }));
    const { made, left } = await planned(planCase(visits, [planCrew()]));
    expect(made).toHaveLength(2);
    expect([...left.values()].map((each) => each.code)).toEqual(["not_enough_hours", "not_enough_hours"]);
  });
});

describe("what a trip costs", () => {
  const costs = { costs: { perHour: 60, perKm: 1 }, currency: "USD" };
  const far = { latitude: 41.7, longitude: -74.05 };

  test("a visit that avoids less than its trip costs is left out, and says what would change that", async () => {
    const visits = [planVisit("poor", { avoided: 150 }, far), planVisit("rich", { avoided: 900 })];
    const { made, left } = await planned(planCase(visits, [planCrew()], costs));
    expect(made).toEqual(["rich"]);
    const { code, why } = left.get("poor") ?? { code: "", why: "" };
    expect(code).toBe("not_worth_trip");
    // 111.3 km by the great circle, 1.3 times that and back: 289 km and 4.8 h of driving with 2 h of work at 60 an hour.
    const [cost, , more] = [...why.matchAll(/(\d+) USD/g)].map((found) => Number(found[1]));
    expect(cost).toBeGreaterThan(690);
    expect(cost).toBeLessThan(705);
    expect(more).toBeGreaterThan(540);
    expect(why).toMatch(/visit near by on the same day/);
  });

  test("two visits that do not pay a trip each are made on one trip that pays", async () => {
    const visits = [
      planVisit("a", { avoided: 500, hoursOnSite: 1 }, far),
      planVisit("b", { avoided: 500, hoursOnSite: 1 }, far),
    ];
    const alone = await planned(planCase(visits.slice(0, 1), [planCrew()], costs));
    expect(alone.left.get("a")?.code).toBe("not_worth_trip");
    const built = planInstance(planCase(visits, [planCrew()], costs));
    const both = await planRoutes(built.instance, { rng: seededRng("plan"), effort: 30, ...QUIET, start: [[0, 1]] });
    expect(both.routes.flat().sort()).toEqual([0, 1]);
    expect(both.objective).toBeGreaterThan(0);
  });

  test("neither money nor the lack of it keeps people from a make-safe, a promised or an urgent visit", async () => {
    const booked = {
      ...{ visitId: "promised", siteId: "S-promised", crewId: null, status: "promised" as const, note: null },
      promisedFrom: Date.parse("2026-06-01T12:00:00Z"),
      promisedTo: Date.parse("2026-06-01T18:00:00Z"),
    };
    for (const visit of [
      planVisit("hazard", { urgency: "make_safe", avoided: 0 }, far),
      planVisit("urgent", { urgency: "urgent", avoided: 1 }, far),
      planVisit("promised", { booked, avoided: 0 }, far),
    ])
      expect((await planned(planCase([visit], [planCrew()], costs))).made).toEqual([visit.visitId]);
  });

  test("of two crews the cheaper one goes", async () => {
    const crews = [planCrew({ crewId: "dear", hourlyCost: 200 }), planCrew({ crewId: "fair", hourlyCost: 50 })];
    const input = planCase([planVisit("a", { avoided: 2000 })], crews);
    const built = planInstance(input);
    const { routes } = await planRoutes(built.instance, { rng: seededRng("plan"), effort: 30, ...QUIET });
    expect(planSheet(input, built, routes).days.map((day) => day.shift.crew.crewId)).toEqual(["fair"]);
  });
});
