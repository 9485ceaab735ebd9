import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import { WEATHER_DRIVERS } from "../../lib/correlate/drivers.ts";
import { weatherPicture } from "../../lib/correlate/weather-picture.ts";
import { makeFaults, makeSky, type Nature, siteInput } from "../study/world.ts";

const SKY = makeSky("picture", 4);
const at = (nature: Nature, seed = "site") => siteInput(SKY, makeFaults(SKY, nature, seededRng(seed)));

describe("weatherPicture", () => {
  const wet = weatherPicture(at({ perYear: 10, driver: "any_wet", ratio: 6 }));

  test("surface water peaks at the onset, above what chance gives at any lag", () => {
    expect(Math.abs(wet.lag?.peakLag as number)).toBeLessThanOrEqual(1);
    const peak = Math.max(...(wet.lag?.excess.map((x) => x ?? 0) ?? []));
    expect(peak).toBeGreaterThan(wet.lag?.envelope as number);
  });

  test("a clock four hours ahead moves the peak to the hours before the logged onset", () => {
    const late = weatherPicture(at({ perYear: 12, driver: "any_wet", ratio: 8, clockHours: 4 }));
    expect(late.lag?.peakLag as number).toBeGreaterThanOrEqual(3);
    expect(late.lag?.peakLag as number).toBeLessThanOrEqual(5);
  });

  test("without an effect the lag curve stays below its envelope at about 19 of 20 sites", () => {
    const above = Array.from({ length: 40 }, (_, i) => weatherPicture(at({ perYear: 12 }, `null/${i}`))).filter(
      (p) => p.lag?.peakLag !== null,
    ).length;
    // Nominal 2 of 40; seven or more would come by chance about once in 200 runs.
    expect(above).toBeLessThan(7);
  });

  test("every onset with a known film is in one bin of depth, and as many are expected as were seen", () => {
    const bins = wet.dose?.bins ?? [];
    const seen = bins.reduce((sum, b) => sum + b.episodes, 0);
    expect(bins.reduce((sum, b) => sum + b.expected, 0)).toBeCloseTo(seen, 6);
    expect(wet.dose?.trend.p as number).toBeLessThan(0.001);
    expect(bins[0]?.ratio as number).toBeLessThan(1);
  });

  test("drivers share one probability, and heat is told from summer", () => {
    const hot = weatherPicture(at({ perYear: 12, driver: "hot", ratio: 6 })).drivers;
    expect(hot?.best).toBe("hot");
    const sum = WEATHER_DRIVERS.reduce((total, d) => total + (hot?.byDriver[d] ?? 0), hot?.none ?? 0);
    expect(sum).toBeCloseTo(1, 9);
    const season = weatherPicture(at({ perYear: 16, season: 0.9 }, "season")).drivers;
    expect(season?.best).toBe("none");
  });

  test("the ratio hardly hangs on the gap that parts episodes", () => {
    const base = correlateSite(at({ perYear: 10, driver: "any_wet", ratio: 6 })).weather.rateRatio as number;
    expect(wet.gaps.map((g) => g.gapHours)).toEqual([1, 6]);
    for (const g of wet.gaps) expect(Math.abs(Math.log((g.ratio as number) / base))).toBeLessThan(0.3);
  });

  test("no faults and no weather leave nothing to draw, and nothing is ever NaN", () => {
    const none = weatherPicture({ ...at({ perYear: 10 }), weather: null });
    expect(none).toMatchObject({ lag: null, dose: null, drivers: null, exactP: null });
    const input = at({ perYear: 10 });
    const quiet = weatherPicture({ ...input, records: { ...input.records, faults: [] } });
    expect(quiet.lag).toBeNull();
    expect(JSON.stringify(wet)).not.toContain("NaN");
  });
});
