import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { DEFAULT_DISPATCH_PARAMETERS } from "../../lib/dispatch/dispatch-parameters.ts";
import {
  dispatchRecord,
  expectedInterval,
  poissonInterval,
  type SentVisit,
} from "../../lib/dispatch/plans/dispatch-record.ts";
import { expectedFinds } from "../../lib/dispatch/plans/expected-finds.ts";

const expecting = (chances: number[], band = 0) => {
  const found = chances.reduce((sum, p) => sum + p, 0);
  return { found, low: found * (1 - band), high: found * (1 + band), chances };
};
const visit = (over: Partial<SentVisit> = {}): SentVisit => ({
  ...{ crewId: "C1", month: "2026-11", made: true, plannedHours: 2, hours: 2.5, cost: 300, found: 0, avoided: 1000 },
  expected: expecting([0.5, 0.1]),
  ...over,
});

describe("poissonInterval", () => {
  test("is Garwood's: half of quantiles of chi-squared", () => {
    // Chi-squared tables, from memory: 5 % of 20 degrees 10.851, 95 % of 22 degrees 33.924, 95 % of 2 degrees 5.991.
    expect(poissonInterval(10).low).toBeCloseTo(10.851 / 2, 3);
    expect(poissonInterval(10).high).toBeCloseTo(33.924 / 2, 3);
    expect(poissonInterval(0)).toEqual({ low: 0, high: expect.closeTo(5.991 / 2, 3) });
  });
});

describe("expectedInterval", () => {
  test("holds at least nine in ten draws of the visits' own chances, and is no wider than it must be", () => {
    const rng = seededRng("expected");
    const visits = Array.from({ length: 40 }, () => expecting([rng() * 0.8, rng() * 0.2, rng() * 0.1]));
    const { low, high } = expectedInterval(visits);
    let inside = 0;
    let edges = 0;
    for (let n = 0; n < 4000; n++) {
      const drawn = visits.reduce((sum, v) => sum + v.chances.filter((p) => rng() < p).length, 0);
      if (drawn >= low && drawn <= high) inside++;
      if (drawn > low && drawn < high) edges++;
    }
    expect(inside / 4000).toBeGreaterThan(0.9);
    expect(edges / 4000).toBeLessThan(0.9);
  });
  test("is wider by the band of the probabilities", () => {
    const plain = expectedInterval(Array.from({ length: 30 }, () => expecting([0.4])));
    const banded = expectedInterval(Array.from({ length: 30 }, () => expecting([0.4], 0.5)));
    expect(banded.low).toBeLessThan(plain.low);
    expect(banded.high).toBeGreaterThan(plain.high);
  });
});

describe("dispatchRecord", () => {
  test("few visits are no judgement, and it says how many it takes", () => {
    const { finds } = dispatchRecord(Array.from({ length: 5 }, () => visit()));
    // 11 expected finds at 0.6 a visit.
    expect(finds).toMatchObject({ n: 5, found: 0, verdict: "too_few_visits", needs: 19 });
  });
  test("enough visits are judged both ways", () => {
    const many = (found: number) =>
      dispatchRecord(Array.from({ length: 40 }, (_, i) => visit({ found: i < found ? 1 : 0 })));
    expect(many(24).finds?.verdict).toBe("as_expected");
    expect(many(8).finds?.verdict).toBe("fewer");
    expect(many(40).finds?.verdict).toBe("more");
  });
  test("what was not recorded is left out and not taken for nothing", () => {
    const record = dispatchRecord([
      visit({ found: 1 }),
      visit({ made: false, found: null, hours: null }),
      visit({ hours: null, cost: null, expected: undefined }),
    ]);
    expect(record).toMatchObject({
      sent: 3,
      made: 2,
      hours: { n: 1, planned: 2, taken: 2.5 },
      cost: { n: 1, perVisit: 300, perDefect: 300 },
    });
    expect(record.finds).toMatchObject({ n: 1, found: 1 });
    expect(dispatchRecord([])).toEqual({
      sent: 0,
      made: 0,
      hours: null,
      cost: null,
      finds: null,
      avoidedPerVisit: null,
    });
  });
});

describe("expectedFinds", () => {
  test("sums the causes by the chance of finding each, and the bonding family's band moves with its probability", () => {
    const { findChance } = DEFAULT_DISPATCH_PARAMETERS;
    const found = expectedFinds(
      { bonding: { p: 0.5, low: 0.25, high: 0.75 }, causes: { open_section_bond: 0.5, surge_damage: 0.1 } },
      findChance,
    );
    const [bond, surge] = [0.5 * findChance.open_section_bond, 0.1 * findChance.surge_damage];
    expect(found.found).toBeCloseTo(bond + surge, 12);
    expect(found.low).toBeCloseTo(bond / 2 + surge, 12);
    expect(found.high).toBeCloseTo(1.5 * bond + surge, 12);
  });
});
