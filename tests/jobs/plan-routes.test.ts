import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import type { RouteInstance } from "../../lib/dispatch/routes/route-instance.ts";
import { HighsSolver } from "../../lib/jobs/highs-solver.ts";
import { randomInstance } from "../support/random-routes.ts";

/** The best value by trying every order of every subset on every crew-day, by the validator alone. */
function bruteForce(instance: RouteInstance): number {
  const count = instance.stops.length;
  const bestOf = instance.crewDays.map((_, day) => {
    const best = new Map<number, number>([[0, 0]]);
    const walk = (order: number[], mask: number, value: number) => {
      for (let next = 0; next < count; next++) {
        const offer = instance.stops[next]?.offers[day];
        if (mask & (1 << next) || !offer) continue;
        const tried = [...order, next];
        const routes = instance.crewDays.map((__, other) => (other === day ? tried : []));
        const broken = brokenRules(instance, routes, 1e-7);
        const total = value + offer.value;
        if (broken.length === 0) best.set(mask | (1 << next), Math.max(best.get(mask | (1 << next)) ?? 0, total));
        // A detour may be quicker than the straight way here, so only a missed window ends a branch.
        if (broken.every((rule) => rule.includes("is back at"))) walk(tried, mask | (1 << next), total);
      }
    };
    walk([], 0, 0);
    return best;
  });
  let states = new Map<number, number>([[0, 0]]);
  for (const best of bestOf) {
    const next = new Map(states);
    for (const [mask, value] of states) {
      for (const [other, more] of best) {
        if (mask & other) continue;
        next.set(mask | other, Math.max(next.get(mask | other) ?? 0, value + more));
      }
    }
    states = next;
  }
  return Math.max(...states.values());
}

describe("planRoutes", () => {
  let solver: HighsSolver;
  beforeAll(() => {
    solver = new HighsSolver();
  });
  afterAll(() => solver.close());

  test("finds the optimum of 200 instances of up to 7 stops, and its bound is never below it", async () => {
    const rng = seededRng("brute");
    let proven = 0;
    for (let n = 0; n < 200; n++) {
      const instance = randomInstance(rng, 3 + (n % 5), 1 + (n % 2), false);
      const plan = await planRoutes(instance, {
        rng,
        effort: 40,
        solver,
        pricingRounds: 20,
        pricingNodes: 200_000,
        choiceNodes: 1000,
      });
      expect(brokenRules(instance, plan.routes)).toEqual([]);
      const optimum = bruteForce(instance);
      expect(plan.objective).toBeCloseTo(optimum, 6);
      expect(plan.bound ?? 0).toBeGreaterThanOrEqual(optimum - 1e-6);
      if ((plan.gap ?? 1) < 1e-6) proven++;
    }
    expect(proven).toBeGreaterThan(150);
  });
});
