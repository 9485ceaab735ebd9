import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import { fleetFindings } from "../../lib/correlate/fleet-findings.ts";
import { fleetShrinkage } from "../../lib/correlate/fleet-shrinkage.ts";
import { makeFaults, makeSky, siteInput } from "../study/world.ts";

describe("fleetShrinkage", () => {
  const skies = Array.from({ length: 6 }, (_, i) => makeSky(`fleet/${i}`, 3));
  const sites = Array.from({ length: 150 }, (_, i) => {
    const real = i % 5 === 0;
    const sky = skies[i % skies.length] as (typeof skies)[number];
    const nature = real ? { perYear: 4, driver: "any_wet" as const, ratio: 5 } : { perYear: 8 };
    const c = correlateSite(siteInput(sky, makeFaults(sky, nature, seededRng(`fleet/site/${i}`))));
    return {
      siteId: `S${i}`,
      real,
      grid: c.ratioGrid as number[],
      raw: c.weather.rateRatio,
      truth: real ? Math.log(5) : 0,
    };
  });
  const shrunk = fleetShrinkage(sites).sites;

  test("log ratios come nearer the truth than the raw ones, by a third or more", () => {
    const rmse = (of: (k: number) => number) =>
      Math.sqrt(sites.reduce((sum, s, k) => sum + (of(k) - s.truth) ** 2, 0) / sites.length);
    const raw = rmse((k) => Math.log(Math.min(50, Math.max(0.05, sites[k]?.raw ?? 1))));
    expect(rmse((k) => shrunk[k]?.logRatio as number)).toBeLessThan(0.67 * raw);
  });

  test("the chance of no effect is high where there is none and low where there is one, on the whole", () => {
    const mean = (real: boolean) => {
      const own = shrunk.filter((_, k) => sites[k]?.real === real);
      return own.reduce((sum, s) => sum + s.noEffect, 0) / own.length;
    };
    expect(mean(false)).toBeGreaterThan(0.7);
    expect(mean(true)).toBeLessThan(0.2);
  });

  test("the order of the sites does not matter, and an empty fleet is answered", () => {
    const turned = fleetShrinkage([...sites].reverse()).sites.reverse();
    for (const [k, s] of turned.entries()) expect(s.logRatio).toBeCloseTo(shrunk[k]?.logRatio as number, 9);
    expect(fleetShrinkage([]).sites).toEqual([]);
  });
});

describe("fleetFindings", () => {
  test("counts every site once, and expects a share of the findings to be false", () => {
    // The adjusted p-values of Benjamini and Hochberg 1995, section 3.2: four of fifteen are findings at 0.05.
    const p = [
      0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1,
    ];
    const q = [
      0.0015, 0.003, 0.0095, 0.0356, 0.0603, 0.0639, 0.0639, 0.0645, 0.0765, 0.486, 0.5812, 0.7149, 0.7532, 0.8132, 1,
    ];
    const found = fleetFindings(p.map((x, k) => ({ p: x, q: q[k] as number })));
    expect(found.findings).toBe(4);
    expect(found.expectedFalse).toBeCloseTo(0.2, 12);
    expect(found.histogram.reduce((a, b) => a + b, 0)).toBe(15);
    expect(found.histogram[0]).toBe(9);
    expect(found.noEffectShare).toBeNull();
  });

  test("a fleet in which nothing happens is said to be all of no effect", () => {
    const sites = Array.from({ length: 200 }, (_, i) => ({ p: (i + 0.5) / 200, q: 1 }));
    expect(fleetFindings(sites)).toMatchObject({ findings: 0, noEffectShare: 1 });
  });
});
