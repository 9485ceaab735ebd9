import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import { driverHours } from "../../lib/correlate/drivers.ts";
import { scannedShiftTest, shiftTest, skewedTail } from "../../lib/correlate/shift-test.ts";
import { residuals } from "../../lib/correlate/strata.ts";
import { exactTail } from "../../lib/correlate/weather-picture.ts";
import { makeFaults, makeSky, siteInput } from "../study/world.ts";

const SKY = makeSky("shift-test", 3);
const { frame } = SKY;
const WET = residuals(driverHours(frame, "any_wet"), frame.lit, frame.stratum);

/** Onsets drawn from lit hours without regard to the weather. */
function blindOnsets(seed: string, n: number): number[] {
  const rng = seededRng(seed);
  const lit = [...frame.lit.keys()].filter((i) => frame.lit[i] === 1 && frame.wet[i] !== 255);
  return Array.from({ length: n }, () => lit[Math.floor(rng() * lit.length)] as number);
}

describe("skewedTail", () => {
  test("is the normal tail without skewness, and that of an exponential variable at skewness 2", () => {
    // Standard normal table: P(Z > 1.96) = 0.0250. An exponential has skewness 2: P(X > 1 + z) = exp(-1 - z).
    expect(skewedTail(1.96, 0)).toBeCloseTo(0.025, 4);
    expect(skewedTail(2, 2)).toBeCloseTo(Math.exp(-3), 9);
    expect(skewedTail(-3, 2)).toBe(1);
  });
});

describe("scannedShiftTest", () => {
  test("with no choice of hours it is the shift test, and every further hour makes it more careful", () => {
    const onsets = blindOnsets("scan", 40);
    const one = scannedShiftTest(onsets, WET, [0]) as number;
    expect(one).toBeCloseTo(shiftTest(onsets, WET).p as number, 12);
    const many = scannedShiftTest(onsets, WET, [-2, -1, 0, 1, 2]) as number;
    expect(many).toBeGreaterThan(one);
  });

  test("taking the best of five hours by chance raises few alarms where the scan is paid for", () => {
    const hours = [-2, -1, 0, 1, 2];
    let paid = 0;
    let free = 0;
    const sites = 120;
    for (let i = 0; i < sites; i++) {
      const onsets = blindOnsets(`best/${i}`, 30);
      const moved = hours.map((h) => onsets.map((t) => t + h));
      const best = moved.reduce((a, b) => ((shiftTest(b, WET).z ?? 0) > (shiftTest(a, WET).z ?? 0) ? b : a));
      if ((shiftTest(best, WET).p ?? 1) <= 0.05) free++;
      if ((scannedShiftTest(best, WET, hours) ?? 1) <= 0.05) paid++;
    }
    // Nominal 6 of 120; fourteen or more would come by chance about once in 300 runs.
    expect(paid).toBeLessThan(14);
    expect(free).toBeGreaterThan(paid);
  });
});

describe("exactTail", () => {
  test("agrees with the shift test where onsets are independent", () => {
    const planted = correlateSite(
      siteInput(SKY, makeFaults(SKY, { perYear: 10, driver: "any_wet", ratio: 4 }, seededRng("p"))),
    );
    expect(planted.weather.pValue as number).toBeLessThan(0.01);
    const blind = blindOnsets("exact", 60);
    const exact = exactTail(blind, WET) as number;
    const shift = shiftTest(blind, WET).p as number;
    expect(Math.abs(exact - shift)).toBeLessThan(0.15);
    expect(exactTail([], WET)).toBeNull();
  });
});
