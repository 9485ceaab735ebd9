import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { hazardsFirst } from "../../lib/dispatch/routes/hazards-first.ts";
import { mostHazards } from "../../lib/dispatch/routes/most-hazards.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import type { RouteInstance } from "../../lib/dispatch/routes/route-instance.ts";
import { HighsSolver } from "../../lib/jobs/highs-solver.ts";
import { randomInstance, withCosts } from "../support/random-routes.ts";

/** Money for a route, added up leg by leg. */
function driven(instance: RouteInstance, day: number, order: readonly number[]): number {
  const crewDay = instance.crewDays[day] as RouteInstance["crewDays"][number];
  const places = [crewDay.startPlace, ...order.map((i) => instance.stops[i]?.place as number), crewDay.endPlace];
  let money = 0;
  for (let k = 1; k < places.length; k++) {
    const [a, b] = [places[k - 1] as number, places[k] as number];
    money += (crewDay.costPerMinute ?? 0) * (instance.travel[a]?.[b] as number);
    money += (crewDay.costPerKm ?? 0) * (instance.km?.[a]?.[b] ?? 0);
  }
  return (
    money + order.reduce((sum, i) => sum + (crewDay.costPerMinute ?? 0) * (instance.stops[i]?.serviceMinutes ?? 0), 0)
  );
}

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
        const key = mask | (1 << next);
        const net = total - driven(instance, day, tried);
        if (broken.length === 0) best.set(key, Math.max(best.get(key) ?? Number.NEGATIVE_INFINITY, net));
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
        next.set(mask | other, Math.max(next.get(mask | other) ?? Number.NEGATIVE_INFINITY, value + more));
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
      // Ways as the crow flies and not, with and without money for driving and work.
      const drawn = randomInstance(rng, 3 + (n % 5), 1 + (n % 2), false, n % 4 < 2);
      const instance = n % 3 > 0 ? withCosts(rng, drawn) : drawn;
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
      if ((plan.gap ?? 1) < 1e-6 || (plan.bound ?? 1) - plan.objective < 1e-6) proven++;
    }
    expect(proven).toBeGreaterThan(150);
  });

  test("stopped short, by few rounds and few nodes, it says no bound that brute force can beat", async () => {
    let bounds = 0;
    for (let n = 0; n < 120; n++) {
      const rng = seededRng(`short-${n}`);
      const instance = withCosts(rng, randomInstance(rng, 4 + (n % 4), 1 + (n % 2), false, n % 2 === 0));
      const optimum = bruteForce(instance);
      const told: number[] = [];
      const plan = await planRoutes(instance, {
        ...{ rng, effort: 2, solver, pricingRounds: 1 + (n % 3), pricingNodes: 1 + (n % 7), choiceNodes: 1 },
        onBound: (bound) => told.push(bound),
      });
      for (const bound of told) expect(bound).toBeGreaterThanOrEqual(optimum - 1e-6);
      expect(plan.objective).toBeLessThanOrEqual(optimum + 1e-6);
      bounds += told.length;
    }
    expect(bounds).toBeGreaterThan(60);
  });

  test("with stops that must be served, the bound is never below the best plan that serves the same ones", async () => {
    let leftOut = 0;
    let proven = 0;
    for (let n = 0; n < 100; n++) {
      const plain = randomInstance(seededRng(`tier-${n}`), 4 + (n % 4), 1 + (n % 2), true);
      const drawn = n % 2 === 0 ? withCosts(seededRng(`cost-${n}`), plain) : plain;
      const stops = drawn.stops.map((stop, i) => ({ ...stop, tier: i % 2 === 0 ? (2 as const) : stop.tier }));
      const instance = { ...drawn, stops };
      const options = { rng: seededRng(`plan-${n}`), effort: 40, solver };
      const plan = await planRoutes(instance, {
        ...options,
        pricingRounds: 20,
        pricingNodes: 200_000,
        choiceNodes: 1000,
      });
      expect(brokenRules(instance, plan.routes)).toEqual([]);
      const served = new Set(plan.routes.flat());
      const again = {
        ...options,
        rng: seededRng(`plan-${n}`),
        pricingRounds: 20,
        pricingNodes: 200_000,
        choiceNodes: 1000,
      };
      const held = (await mostHazards(instance, hazardsFirst(instance, again), again)).instance;
      // A reward that no value outweighs makes brute force serve the same stops of the tiers.
      const reward = 1e6;
      const must = instance.stops.flatMap((stop, i) => (stop.tier > 0 && served.has(i) ? [i] : []));
      const same = held.stops.map((stop, i) => ({
        ...stop,
        offers: stop.offers.map((offer) => {
          if (!offer || (stop.tier > 0 && !served.has(i))) return null;
          return { ...offer, value: offer.value + (must.includes(i) ? reward : 0) };
        }),
      }));
      const optimum = bruteForce({ ...held, stops: same }) - reward * must.length;
      expect(plan.objective).toBeCloseTo(optimum, 6);
      expect(plan.bound ?? 0).toBeGreaterThanOrEqual(optimum - 1e-6);
      if (instance.stops.some((stop, i) => stop.tier > 0 && !served.has(i))) leftOut++;
      if ((plan.gap ?? 1) < 1e-6) proven++;
    }
    expect(leftOut).toBeGreaterThan(10);
    expect(proven).toBeGreaterThan(70);
  });

  test("makes as many of the hazards as brute force can, and says so when some are left out", async () => {
    let shown = 0;
    let short = 0;
    for (let n = 0; n < 60; n++) {
      const plain = randomInstance(seededRng(`most-${n}`), 5 + (n % 3), 1 + (n % 2), false);
      const drawn = withCosts(seededRng(`cost-${n}`), plain);
      const tier = (i: number) => (i % 5 === 4 ? (0 as const) : (2 as const));
      const instance = { ...drawn, stops: drawn.stops.map((stop, i) => ({ ...stop, tier: tier(i) })) };
      const options = { rng: seededRng(`plan-${n}`), effort: 10, solver };
      const plan = await planRoutes(instance, {
        ...options,
        pricingRounds: 20,
        pricingNodes: 200_000,
        choiceNodes: 1000,
      });
      const free = instance.crewDays.map((day) => ({ ...day, costPerMinute: 0, costPerKm: 0 }));
      const ones = instance.stops.map((stop, i) => ({
        ...stop,
        offers: stop.offers.map((offer) => (offer && tier(i) === 2 ? { ...offer, value: 1 } : null)),
      }));
      const most = bruteForce({ ...instance, crewDays: free, stops: ones });
      expect(plan.routes.flat().filter((index) => tier(index) === 2)).toHaveLength(most);
      if (plan.hazards.most !== null) expect(plan.hazards.most).toBeGreaterThanOrEqual(most);
      if (plan.hazards.leftOut > 0) short++;
      if (plan.hazards.leftOut > 0 && plan.hazards.most === most) shown++;
    }
    expect(short).toBeGreaterThan(20);
    expect(shown).toBeGreaterThan(0.8 * short);
  });
});
