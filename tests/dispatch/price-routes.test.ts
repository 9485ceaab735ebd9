import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { priceRoutes } from "../../lib/dispatch/routes/price-routes.ts";
import { type RouteInstance, routeCost } from "../../lib/dispatch/routes/route-instance.ts";
import { timeRoute } from "../../lib/dispatch/routes/route-times.ts";
import { randomInstance, withCosts } from "../support/random-routes.ts";

/** The most that any route gains, by trying every order and cutting nothing but what the shift cuts. */
function mostGain(instance: RouteInstance, day: number, prices: readonly number[]): number {
  let best = 0;
  const walk = (route: number[], gain: number) => {
    for (let next = 0; next < instance.stops.length; next++) {
      const offer = instance.stops[next]?.offers[day];
      if (!offer || route.includes(next)) continue;
      const tried = [...route, next];
      if (!timeRoute(instance, day, tried)) continue;
      const more = gain + offer.value - (prices[next] as number);
      best = Math.max(best, more - routeCost(instance, day, tried));
      walk(tried, more);
    }
  };
  walk([], 0);
  return best;
}

/** Sixty stops of which a shift has time for three or four. */
function crowded(seed: string): { instance: RouteInstance; prices: number[] } {
  const rng = seededRng(seed);
  const drawn = randomInstance(rng, 60, 1, false, true);
  const stops = drawn.stops.map((stop) => ({ ...stop, serviceMinutes: 60 + stop.serviceMinutes }));
  return { instance: withCosts(rng, { ...drawn, stops }), prices: stops.map(() => 25 * rng() - 2) };
}

const limits = { floor: 0, nodes: 1e7, kept: 5 };

describe("priceRoutes", () => {
  test("finds the most that any route gains, whatever it aims at first", () => {
    for (let n = 0; n < 12; n++) {
      const { instance, prices } = crowded(`crowd-${n}`);
      const most = mostGain(instance, 0, prices);
      for (const reach of [0, 0.5, 1]) {
        const priced = priceRoutes(instance, 0, prices, { ...limits, reach });
        expect(priced.most).toBeCloseTo(most, 6);
        expect(priced.routes.length > 0).toBe(most > 1e-9);
      }
    }
  });

  test("out of nodes, what it says of the most is never too little", () => {
    for (let n = 0; n < 12; n++) {
      const { instance, prices } = crowded(`short-${n}`);
      const most = mostGain(instance, 0, prices);
      for (const nodes of [1, 5, 20])
        expect(priceRoutes(instance, 0, prices, { ...limits, nodes, reach: 0.7 }).most).toBeGreaterThanOrEqual(
          most - 1e-6,
        );
    }
  });

  test("gives routes that can be driven, best first, no two with the same stops", () => {
    const { instance, prices } = crowded("order");
    const { routes } = priceRoutes(instance, 0, prices, { ...limits, kept: 50, reach: 0 });
    expect(routes.length).toBe(50);
    const gains = routes.map((route) => {
      expect(timeRoute(instance, 0, route)).not.toBeNull();
      const worth = route.reduce(
        (sum, i) => sum + (instance.stops[i]?.offers[0]?.value ?? 0) - (prices[i] as number),
        0,
      );
      return worth - routeCost(instance, 0, route);
    });
    expect([...gains].sort((a, b) => b - a)).toEqual(gains);
    expect(new Set(routes.map((route) => [...route].sort((a, b) => a - b).join())).size).toBe(50);
  });
});
