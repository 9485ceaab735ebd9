import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { brokenRules } from "../../lib/dispatch/routes/plan-validator.ts";
import { type RouteInstance, requireInstance, travelHoles } from "../../lib/dispatch/routes/route-instance.ts";
import { searchRoutes } from "../../lib/dispatch/routes/search-routes.ts";
import { randomInstance } from "../support/random-routes.ts";

describe("searchRoutes", () => {
  test("breaks no rule on 100 random instances", () => {
    const rng = seededRng("fuzz");
    for (let n = 0; n < 100; n++) {
      const instance = randomInstance(rng, 4 + (n % 16), 1 + (n % 4));
      expect(brokenRules(instance, searchRoutes(instance, { rng, effort: 20 }))).toEqual([]);
    }
  });

  test("gives the same routes for the same seed and effort", () => {
    const instance = randomInstance(seededRng("same"), 20, 3);
    const plan = () => searchRoutes(instance, { rng: seededRng("seed"), effort: 60 });
    expect(plan()).toEqual(plan());
  });

  test("lets no value outrank a higher tier", () => {
    const instance: RouteInstance = {
      crewDays: [{ key: "d", startPlace: 0, endPlace: 0, from: 0, to: 100 }],
      stops: [
        { key: "must", place: 1, serviceMinutes: 60, tier: 2, offers: [{ value: 0, windows: [{ from: 0, to: 100 }] }] },
        {
          key: "rich",
          place: 2,
          serviceMinutes: 60,
          tier: 0,
          offers: [{ value: 1e6, windows: [{ from: 0, to: 100 }] }],
        },
      ],
      travel: [
        [0, 5, 5],
        [5, 0, 5],
        [5, 5, 0],
      ],
    };
    expect(searchRoutes(instance, { rng: seededRng("t"), effort: 50 })).toEqual([[0]]);
  });

  test("stops when asked and keeps the best so far", () => {
    const instance = randomInstance(seededRng("stop"), 20, 3);
    let asked = 0;
    const routes = searchRoutes(instance, { rng: seededRng("s"), effort: 1e9, stopped: () => ++asked > 5 });
    expect(brokenRules(instance, routes)).toEqual([]);
    expect(asked).toBe(6);
  });

  test("with no crew-days gives no routes", () => {
    expect(searchRoutes({ crewDays: [], stops: [], travel: [] }, { rng: seededRng("n"), effort: 5 })).toEqual([]);
  });
});

describe("requireInstance", () => {
  test("names the hole in a travel table", () => {
    const instance = randomInstance(seededRng("hole"), 3, 1);
    const travel = instance.travel.map((row, from) =>
      row.map((cell, to) => (from === 1 && to === 2 ? Number.NaN : cell)),
    );
    expect(() => requireInstance({ ...instance, travel })).toThrow("from place 1 to place 2");
    expect(travelHoles(travel, 4)).toEqual([[1, 2]]);
  });
});

describe("brokenRules", () => {
  test("finds a late return, a stop served twice and a crew that may not serve", () => {
    const instance: RouteInstance = {
      crewDays: [{ key: "d", startPlace: 0, endPlace: 0, from: 0, to: 100 }],
      stops: [
        { key: "a", place: 1, serviceMinutes: 60, tier: 0, offers: [{ value: 1, windows: [{ from: 0, to: 100 }] }] },
        { key: "b", place: 1, serviceMinutes: 60, tier: 0, offers: [null] },
      ],
      travel: [
        [0, 30],
        [30, 0],
      ],
    };
    expect(brokenRules(instance, [[0]])).toEqual(["d is back at 120, after 100"]);
    expect(brokenRules(instance, [[1]])).toEqual(["d may not serve b"]);
    expect(brokenRules(instance, [[0, 0]])).toContain("a is served twice");
  });
});
