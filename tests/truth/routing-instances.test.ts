import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { routesValue } from "../../lib/dispatch/routes/route-instance.ts";
import { searchRoutes } from "../../lib/dispatch/routes/search-routes.ts";
import { chaoBestKnown, chaoInstance, solomonInstance } from "../support/routing-instances.ts";

// Chao, Golden and Wasil 1996 with the best-known scores of tests/data/chao-top; Solomon 1987 with the best-known
// scores for team orienteering with time windows (values from memory, tables not opened).

describe("searchRoutes", () => {
  test("keeps every rule of published team orienteering instances and never beats a best-known score", () => {
    const best = chaoBestKnown();
    let gaps = 0;
    const names = ["p1.2.p.txt", "p1.4.r.txt", "p2.2.k.txt", "p2.4.k.txt", "p3.2.k.txt", "p3.3.m.txt", "p3.4.t.txt"];
    for (const name of names) {
      const instance = chaoInstance(name);
      const routes = searchRoutes(instance, { rng: seededRng("truth"), effort: 300 });
      expect(brokenRules(instance, routes)).toEqual([]);
      const known = best.get(name) as number;
      const value = routesValue(instance, routes);
      expect(value).toBeLessThanOrEqual(known);
      gaps += (known - value) / known;
    }
    expect(gaps / names.length).toBeLessThan(0.02);
  });

  test("never beats the best-known scores of C101 with truncated distances and comes within 3 % of them", () => {
    const known = [320, 590, 810, 1020];
    known.forEach((score, index) => {
      const instance = solomonInstance("C101", index + 1);
      const routes = searchRoutes(instance, { rng: seededRng("truth"), effort: 400 });
      expect(brokenRules(instance, routes)).toEqual([]);
      expect(routesValue(instance, routes)).toBeLessThanOrEqual(score);
      expect(routesValue(instance, routes)).toBeGreaterThan(0.97 * score);
    });
  });

  test("never beats the best-known scores of R101 and RC101", () => {
    for (const [name, known] of [
      ["R101", 611],
      ["RC101", 811],
    ] as const) {
      const instance = solomonInstance(name, 4);
      const routes = searchRoutes(instance, { rng: seededRng("truth"), effort: 400 });
      expect(brokenRules(instance, routes)).toEqual([]);
      expect(routesValue(instance, routes)).toBeLessThanOrEqual(known);
      expect(routesValue(instance, routes)).toBeGreaterThan(0.97 * known);
    }
  });
});
