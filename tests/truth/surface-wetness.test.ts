import { describe, expect, test } from "vitest";
import { surfaceWet } from "../../lib/weather/surface-wetness-rule.ts";

// Kim et al. 2002, Plant Disease 86:179 (after Gleason 1994), thresholds as seen in a public post citing that DOI; the
// discriminants of the cases are computed from the published formula.
describe("surfaceWet", () => {
  test.each([
    [{ temperatureC: 20, relativeHumidityPct: 95, windMs: 1, dewPointDepressionC: 0.8 }, true],
    [{ temperatureC: 20, relativeHumidityPct: 75, windMs: 1, dewPointDepressionC: 3.5 }, false],
    [{ temperatureC: 15, relativeHumidityPct: 98, windMs: 2, dewPointDepressionC: 0.3 }, true],
    [{ temperatureC: 5, relativeHumidityPct: 97, windMs: 0.5, dewPointDepressionC: 0.4 }, true],
    [{ temperatureC: 15, relativeHumidityPct: 95, windMs: 3, dewPointDepressionC: 0.8 }, false],
    [{ temperatureC: 10, relativeHumidityPct: 60, windMs: 5, dewPointDepressionC: 4.5 }, false],
  ])("case %#", (hour, wet) => {
    expect(surfaceWet(hour)).toBe(wet);
  });

  test("below freezing, or with something unknown, it cannot tell", () => {
    expect(surfaceWet({ temperatureC: -2, relativeHumidityPct: 95, windMs: 1, dewPointDepressionC: 0.5 })).toBeNull();
    expect(
      surfaceWet({ temperatureC: 12, relativeHumidityPct: Number.NaN, windMs: 1, dewPointDepressionC: 0.5 }),
    ).toBeNull();
  });
});
