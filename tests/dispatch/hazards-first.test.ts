import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { hazardsFirst } from "../../lib/dispatch/routes/hazards-first.ts";
import { planRoutes } from "../../lib/dispatch/routes/plan-routes.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import type { RouteInstance, RouteStop, Routes, Tier } from "../../lib/dispatch/routes/route-instance.ts";
import { randomInstance } from "../support/random-routes.ts";

const DAY = 1440;
const day = (d: number) => ({ key: `d${d}`, startPlace: 0, endPlace: 0, from: d * DAY, to: d * DAY + 480 });
const stop = (key: string, tier: Tier, value: number, days: number): RouteStop => ({
  ...{ key, tier, place: 1, serviceMinutes: 180 },
  offers: Array.from({ length: days }, (_, d) => ({ value, windows: [{ from: d * DAY, to: d * DAY + 480 }] })),
});
const travel = [
  [0, 60],
  [60, 0],
];
const planned = async (instance: RouteInstance) =>
  (
    await planRoutes(instance, {
      ...{ rng: seededRng("p"), effort: 60, solver: null },
      ...{ pricingRounds: 0, pricingNodes: 0, choiceNodes: 0 },
    })
  ).routes;

/** When work at each stop begins when the crew goes as early as it can; a plain drive from stop to stop. */
function starts(instance: RouteInstance, routes: Routes): Map<number, number> {
  const out = new Map<number, number>();
  routes.forEach((route, d) => {
    let clock = instance.crewDays[d]?.from as number;
    let here = instance.crewDays[d]?.startPlace as number;
    for (const index of route) {
      const at = instance.stops[index] as RouteStop;
      clock += instance.travel[here]?.[at.place] as number;
      const open = at.offers[d]?.windows.find((window) => window.to >= clock - 1e-6);
      clock = Math.max(clock, open?.from as number);
      out.set(index, clock);
      clock += at.serviceMinutes;
      here = at.place;
    }
  });
  return out;
}

describe("hazardsFirst", () => {
  test("a hazard worth nothing goes on the first day and first on its route, whatever the others are worth", async () => {
    const instance = {
      crewDays: [day(0), day(1), day(2)],
      stops: [stop("rich", 0, 1e6, 3), stop("hazard", 2, 0, 3), stop("richer", 0, 2e6, 3)],
      travel,
    };
    const routes = await planned(instance);
    expect(routes[0]?.[0]).toBe(1);
    expect(brokenRules(instance, routes)).toEqual([]);
    expect(routes.flat().sort()).toEqual([0, 1, 2]);
  });

  test("two crews go to two hazards at once rather than one crew to both", async () => {
    const crews = [day(0), { ...day(0), key: "other" }];
    const both = (key: string) => ({
      ...stop(key, 2, 0, 1),
      offers: [...stop(key, 2, 0, 1).offers, ...stop(key, 2, 0, 1).offers],
    });
    const routes = await planned({ crewDays: crews, stops: [both("a"), both("b")], travel });
    expect(routes.map((route) => route.length)).toEqual([1, 1]);
  });

  test("no plan serves fewer hazards, or any of them later, than a plan of hazards alone", async () => {
    const rng = seededRng("hazards");
    let seen = 0;
    for (let n = 0; n < 100; n++) {
      const drawn = randomInstance(rng, 5 + (n % 14), 1 + (n % 4));
      const stops = drawn.stops.map((each, i) => ({
        ...each,
        tier: (i % 4 === 0 ? 2 : each.tier === 1 ? 1 : 0) as Tier,
      }));
      const instance = { ...drawn, stops };
      const { routes: first } = hazardsFirst(instance, { rng: seededRng("p"), effort: 60 });
      const routes = await planned(instance);
      expect(brokenRules(instance, routes)).toEqual([]);
      const alone = starts(instance, first);
      const all = starts(instance, routes);
      for (const [index, start] of alone) expect(all.get(index)).toBeLessThanOrEqual(start + 1e-6);
      seen += alone.size;
    }
    expect(seen).toBeGreaterThan(200);
  });

  test("an instance without hazards is left as it is", () => {
    const instance = randomInstance(seededRng("none"), 8, 2, false);
    expect(hazardsFirst(instance, { rng: seededRng("p"), effort: 5 }).instance).toBe(instance);
  });
});
