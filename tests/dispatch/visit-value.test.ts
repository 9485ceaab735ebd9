import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { AnnualLoss } from "../../lib/coverage/expected-annual-loss.ts";
import { DEFAULT_DISPATCH_PARAMETERS } from "../../lib/dispatch/dispatch-parameters.ts";
import { tripCost } from "../../lib/dispatch/trip-cost.ts";
import { informationValue, visitValue } from "../../lib/dispatch/visit-value.ts";
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

describe("visitValue", () => {
  // One cause, all figures chosen here and worked by hand: p 0.5 of an open bond (found 0.8, fixed 0.9), people 1000 and
  // energy 200 a year, already weighted by p. Avoided 0.72 x 1200 = 864. Found and fixed 0.5 x 0.72 = 0.36, and with the
  // band 0.25 to 0.75 of p 0.5: 0.18 to 0.54.
  const loss = {
    currency: "USD",
    byCause: [
      {
        cause: "open_section_bond",
        probability: 0.5,
        people: 1000,
        property: 0,
        energy: 200,
        escalation: 0,
        total: 1200,
      },
    ],
    total: 1200,
  } as unknown as AnnualLoss;
  const chances = { bonding: { p: 0.5, low: 0.25, high: 0.75 }, causes: { open_section_bond: 0.5 } };
  const trip = (skills: ("electrician" | "roof")[]) =>
    tripCost(
      sampleSite({ latitude: 40, longitude: -90 }),
      3,
      ["electrician", "roof"],
      [sampleCrew({ crewId: "C1", baseLatitude: 40, baseLongitude: -90, skills })],
      DEFAULT_DISPATCH_PARAMETERS,
    );

  test("every term has its unit, the counted ones sum to what is avoided less the trip, and the finds carry their band", () => {
    const value = visitValue(loss, [], trip(["electrician", "roof"]), DEFAULT_DISPATCH_PARAMETERS, chances);
    const of = (name: string) => value.terms.find((each) => each.term === name);
    expect(of("people")?.amount).toBeCloseTo(720, 9);
    expect(of("energy")?.amount).toBeCloseTo(144, 9);
    expect(value.expectedLossAvoided).toBeCloseTo(864, 9);
    const sum = value.terms.filter((each) => each.counted).reduce((total, each) => total + each.amount, 0);
    expect(sum).toBeCloseTo(864 - value.visitCost, 9);
    const finds = of("finds");
    expect(finds).toMatchObject({ unit: "defects", counted: false });
    expect(finds?.amount).toBeCloseTo(0.36, 9);
    expect(finds?.band?.low).toBeCloseTo(0.18, 9);
    expect(finds?.band?.high).toBeCloseTo(0.54, 9);
    expect(finds?.says).toContain("C1");
    expect(of("trip_labour")?.says).toContain("3 h on site");
    for (const each of value.terms) expect(each.unit).not.toBe("");
  });

  test("a crew without a skill finds half as much, and that is said", () => {
    const value = visitValue(loss, [], trip(["electrician"]), DEFAULT_DISPATCH_PARAMETERS, chances);
    const finds = value.terms.find((each) => each.term === "finds");
    expect(finds?.amount).toBeCloseTo(0.18, 9);
    expect(finds?.says).toContain("lacks: roof");
  });
});
