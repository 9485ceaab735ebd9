import { describe, expect, test } from "vitest";
import { dewPointC, relativeHumidityPct } from "../../lib/weather/dew-point.ts";

describe("dewPointC", () => {
  // Magnus 17.625 / 243.04 (Alduchov and Eskridge 1996), computed from the formula; within 0.012 K of the value that
  // MetPy documents for Bolton's coefficients (10 °C, 50 %: 0.0537).
  test.each([
    [10, 50, 0.0467],
    [20, 50, 9.2611],
    [25, 60, 16.6977],
    [30, 80, 26.1709],
    [15, 90, 13.3726],
    [0, 50, -9.1965],
  ])("at %f °C and %f %% is %f °C", (t, rh, expected) => {
    expect(dewPointC(t, rh)).toBeCloseTo(expected, 3);
  });

  test("saturated air has its own temperature for dew point, and humidity comes back", () => {
    expect(dewPointC(17.3, 100)).toBeCloseTo(17.3, 10);
    expect(relativeHumidityPct(20, dewPointC(20, 63))).toBeCloseTo(63, 9);
  });

  test("an unknown stays unknown, and no humidity has no dew point", () => {
    expect(dewPointC(Number.NaN, 50)).toBeNaN();
    expect(dewPointC(20, 0)).toBeNaN();
  });
});
