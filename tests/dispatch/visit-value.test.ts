import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { DEFAULT_DISPATCH_PARAMETERS } from "../../lib/dispatch/dispatch-parameters.ts";
import { tripCost } from "../../lib/dispatch/trip-cost.ts";
import { informationValue } from "../../lib/dispatch/visit-value.ts";
import { sampleCrew, sampleSite } from "../support/sample-site.ts";

const unit = fc.double({ min: 0, max: 1, noNaN: true });

describe("informationValue", () => {
  // Two-act decision with a binary test, worked by hand: p 0.5, gain 100, waste 100, sensitivity 0.8, false 0.2.
  // Blind: max(0, 50 - 50) = 0. Shown: 0.4 x 100 - 0.1 x 100 = 30. Not shown: 0.1 x 100 - 0.4 x 100 < 0. Worth 30.
  test("matches a case worked by hand", () => {
    expect(informationValue(0.5, 100, 100, 0.8, 0.2)).toBeCloseTo(30, 12);
  });

  test("a perfect test at p 0.5 is worth half the gain", () => {
    expect(informationValue(0.5, 100, 100, 1, 0)).toBeCloseTo(50, 12);
  });

  test("is zero where every result leads to the same act", () => {
    expect(informationValue(0.99, 100, 1, 0.6, 0.5)).toBe(0);
    expect(informationValue(0, 100, 100, 0.9, 0.1)).toBe(0);
    expect(informationValue(0.5, 100, 100, 0.4, 0.4)).toBeCloseTo(0, 12);
  });

  test("is never negative and never above perfect information", () => {
    fc.assert(
      fc.property(
        unit,
        unit,
        unit,
        fc.double({ min: 0, max: 1e6, noNaN: true }),
        fc.double({ min: 0, max: 1e6, noNaN: true }),
        (p, sensitivity, falseFinding, gain, waste) => {
          const worth = informationValue(p, gain, waste, sensitivity, falseFinding);
          expect(worth).toBeGreaterThanOrEqual(0);
          expect(worth).toBeLessThanOrEqual(informationValue(p, gain, waste, 1, 0) + 1e-6);
        },
      ),
    );
  });
});

describe("tripCost", () => {
  test("one degree of latitude is 111.2 km on the mean sphere, by road 1.3 times that, there and back", () => {
    const trip = tripCost(
      sampleSite({ latitude: 41, longitude: -90 }),
      2,
      ["roof"],
      [sampleCrew({ baseLatitude: 40 })],
      DEFAULT_DISPATCH_PARAMETERS,
    );
    expect(trip.driveKm).toBeCloseTo(2 * 1.3 * 111.195, 1);
    expect(trip.total).toBeCloseTo((trip.driveKm / 60 + 2) * 100 + trip.driveKm, 6);
  });

  test("a crew with the skills goes before a nearer one without", () => {
    const near = sampleCrew({ crewId: "near", baseLatitude: 40, skills: ["electrician"] });
    const able = sampleCrew({ crewId: "able", baseLatitude: 40.5 });
    expect(tripCost(sampleSite(), 2, ["electrician", "roof"], [near, able], DEFAULT_DISPATCH_PARAMETERS).crewId).toBe(
      "able",
    );
  });
});
