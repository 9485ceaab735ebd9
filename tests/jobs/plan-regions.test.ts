import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { planRegions } from "../../lib/dispatch/routes/plan-regions.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { proveRoutes } from "../../lib/dispatch/routes/prove-routes.ts";
import { borderGroups, regionsOf } from "../../lib/dispatch/routes/regions.ts";
import { HighsSolver } from "../../lib/jobs/highs-solver.ts";
import { fleetInstance } from "../support/fleet-routes.ts";
import { randomInstance } from "../support/random-routes.ts";

const fleet = (seed: string) => fleetInstance(seededRng(seed), 140, 12, 1, 300);
const options = { effort: 120, pricingRounds: 30, pricingNodes: 20_000, choiceNodes: 50 };

describe("regionsOf", () => {
  test("puts each crew-day and each stop that somebody may serve into one region, of about five bases", () => {
    const instance = fleet("regions");
    const regions = regionsOf(instance);
    expect(regions).toHaveLength(3);
    const days = regions.flatMap((region) => region.days).sort((a, b) => a - b);
    expect(days).toEqual(instance.crewDays.map((_, day) => day));
    const stops = regions.flatMap((region) => region.stops).sort((a, b) => a - b);
    expect(stops).toEqual(instance.stops.map((_, index) => index));
    for (const region of regions) {
      expect(region.days.length).toBeLessThanOrEqual(5);
      for (const stop of region.stops)
        expect(region.days.some((day) => instance.stops[stop]?.offers[day] != null)).toBe(true);
    }
    expect(borderGroups(instance, regions).length).toBeGreaterThanOrEqual(2);
  });
});

describe("planRegions", () => {
  let solver: HighsSolver;
  beforeAll(() => {
    solver = new HighsSolver();
  });
  afterAll(() => solver.close());

  test("breaks no rule, comes near the plan of the whole, and its bound holds for that one too", async () => {
    for (const seed of ["one", "two"]) {
      const instance = fleet(seed);
      const none = instance.crewDays.map(() => []);
      const parts = await planRegions(instance, none, { ...options, solver, rng: seededRng("r") });
      const whole = await proveRoutes(instance, none, { ...options, solver, rng: seededRng("r") });
      expect(brokenRules(instance, parts.routes)).toEqual([]);
      expect(parts.bound).toBeGreaterThanOrEqual(whole.objective - 1e-6);
      expect(parts.objective).toBeLessThanOrEqual((whole.bound ?? 0) + 1e-6);
      expect(parts.objective).toBeGreaterThan(0.97 * whole.objective);
      const again = await planRegions(instance, none, { ...options, solver, rng: seededRng("r") });
      expect(again).toEqual(parts);
    }
  });

  test("serves what must be served wherever it lies", async () => {
    const drawn = randomInstance(seededRng("must"), 40, 11, true);
    const none = drawn.crewDays.map(() => []);
    const found = await planRegions(drawn, none, { ...options, solver, rng: seededRng("m") });
    expect(brokenRules(drawn, found.routes)).toEqual([]);
    const whole = await proveRoutes(drawn, none, { ...options, solver, rng: seededRng("m") });
    const must = (routes: typeof found.routes) => routes.flat().filter((index) => (drawn.stops[index]?.tier ?? 0) > 0);
    expect(must(found.routes).length).toBe(must(whole.routes).length);
  });
});
