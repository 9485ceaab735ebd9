import { describe, expect, test, vi } from "vitest";
import { NULLS, skies, studySite } from "./correlation-study.ts";
import { shareByCluster } from "./study-table.ts";
import type { Nature, Sky } from "./world.ts";

/**
 * A small draw of `npm run study correlation`, whose full size gives the figures. Bounds of false alarms and
 * coverage leave three Monte Carlo errors or more at this size; those of the drivers are loose floors set by judgement.
 */
vi.setConfig({ testTimeout: 60_000 });
const WEATHER = skies("small", 20, 2);

function hits(name: string, nature: Nature, n: number, isHit: (c: ReturnType<typeof studySite>) => boolean) {
  return shareByCluster(
    Array.from({ length: n }, (_, i) => ({
      cluster: i % WEATHER.length,
      hit: isHit(studySite(WEATHER[i % WEATHER.length] as Sky, nature, `small/${name}/${i}`)),
    })),
  );
}

describe("correlateSite on worlds whose truth is known", () => {
  test.each(Object.keys(NULLS))("false alarms keep to one in twenty where weather does nothing: %s", (name) => {
    const nature = NULLS[name] as Nature;
    const { share, error } = hits(name, nature, 120, (c) => (c.weather.pValue ?? 1) <= 0.05);
    expect(share).toBeLessThan(0.06 + 3 * Math.max(error, 0.02));
  });

  test("the 95 % interval holds the true ratio, with and without runs of onsets", () => {
    for (const bursts of [0, 1]) {
      const nature: Nature = { perYear: 9, driver: "any_wet", ratio: 5, bursts };
      const { share } = hits(
        `coverage/${bursts}`,
        nature,
        100,
        (c) => (c.weather.low ?? 0) <= 5 && (c.weather.high ?? Number.POSITIVE_INFINITY) >= 5,
      );
      expect(share).toBeGreaterThan(0.93 - 3 * Math.sqrt((0.93 * 0.07) / 100));
    }
  });

  test.each([
    ["hot", 5, 0.7],
    ["thunder", 15, 0.7],
    ["wind", 5, 0.7],
  ] as const)("a planted driver is named at most sites: %s", (driver, ratio, atLeast) => {
    const { share } = hits(`driver/${driver}`, { perYear: 12, driver, ratio }, 60, (c) => c.weather.driver === driver);
    expect(share).toBeGreaterThan(atLeast);
  });

  test("rain is never taken for heat, thunder or wind, and hardly ever for nothing", () => {
    const { share } = hits("driver/rain", { perYear: 12, driver: "rain", ratio: 5 }, 60, (c) =>
      ["rain", "any_wet"].includes(c.weather.driver),
    );
    expect(share).toBeGreaterThan(0.95);
  });
});
