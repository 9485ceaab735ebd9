import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { normalQuantile } from "../../lib/core/statistics.ts";
import { expectedPaid, isInForce, limitedMean, paidOf, slicesOf } from "../../lib/coverage/recovery.ts";
import { sampleTerm } from "../support/loss-cases.ts";

const NO_LIMIT = Number.POSITIVE_INFINITY;

describe("slicesOf and paidOf, worked by hand", () => {
  const one = (loss: number, limit: number, deductible: number) => paidOf(loss, slicesOf([{ limit, deductible }]));
  test.each([
    // loss, limit, deductible, paid
    [800, 10_000, 1000, 0],
    [1000, 10_000, 1000, 0],
    [5000, 10_000, 1000, 4000],
    [11_000, 10_000, 1000, 10_000],
    [50_000, 10_000, 1000, 10_000],
    [50_000, NO_LIMIT, 1000, 49_000],
    [50_000, 0, 1000, 0],
  ])("a loss of %d under a limit of %d over a deductible of %d is paid %d", (loss, limit, deductible, paid) => {
    expect(one(loss, limit, deductible)).toBe(paid);
  });

  test("a second contract is asked for what the first leaves, its deductible and all", () => {
    // First: 4,000 over 1,000. Of 20,000 it leaves 1,000 below and 15,000 above: 16,000. Second: 10,000 over 2,000 of
    // these: all of the 1,000 and 1,000 more stay with the owner, so it pays 10,000 and 6,000 stay.
    const slices = slicesOf([
      { limit: 4000, deductible: 1000 },
      { limit: 10_000, deductible: 2000 },
    ]);
    expect(paidOf(20_000, slices)).toBe(14_000);
    expect(slices).toEqual([
      { term: 0, from: 1000, to: 5000 },
      { term: 1, from: 6000, to: 16_000 },
    ]);
    expect(paidOf(7000, slices)).toBe(4000 + 1000);
  });

  test("a second contract without deductible takes the first one's deductible too", () => {
    const slices = slicesOf([
      { limit: 4000, deductible: 1000 },
      { limit: 3000, deductible: 0 },
    ]);
    expect(paidOf(6000, slices)).toBe(4000 + 2000);
    expect(paidOf(20_000, slices)).toBe(7000);
  });

  test("whatever the contracts, a loss is never paid more than once over, and a larger loss never pays less", () => {
    const term = fc.record({
      limit: fc.double({ min: 0, max: 1e6, noNaN: true }),
      deductible: fc.double({ min: 0, max: 1e5, noNaN: true }),
    });
    const loss = fc.double({ min: 0, max: 2e6, noNaN: true });
    fc.assert(
      fc.property(fc.array(term, { maxLength: 5 }), loss, loss, (terms, a, b) => {
        const slices = slicesOf(terms);
        const low = paidOf(Math.min(a, b), slices);
        const high = paidOf(Math.max(a, b), slices);
        expect(high).toBeGreaterThanOrEqual(low - 1e-6);
        expect(high).toBeLessThanOrEqual(Math.max(a, b) + 1e-6);
        expect(high).toBeLessThanOrEqual(terms.reduce((sum, t) => sum + t.limit, 0) + 1e-6);
      }),
    );
  });

  test("a limit below 0 is the caller's mistake", () => {
    expect(() => slicesOf([{ limit: -1, deductible: 0 }])).toThrow(RangeError);
  });
});

describe("limitedMean", () => {
  test("is the mean of the loss capped, against 200,000 quantiles of the lognormal", () => {
    for (const [mean, spread, cap] of [
      [1000, 0.8, 500],
      [1000, 0.8, 5000],
      [60_000, 1.2, 100_000],
    ] as const) {
      const mu = Math.log(mean) - spread ** 2 / 2;
      let sum = 0;
      const n = 200_000;
      for (let i = 0; i < n; i++) sum += Math.min(cap, Math.exp(mu + spread * normalQuantile((i + 0.5) / n)));
      expect(limitedMean({ mean, spread }, cap) / (sum / n)).toBeCloseTo(1, 4);
    }
  });
  test("fixed sums, no cap and no loss are what they say", () => {
    expect(limitedMean({ mean: 700, spread: 0 }, 500)).toBe(500);
    expect(limitedMean({ mean: 700, spread: 1 }, NO_LIMIT)).toBe(700);
    expect(limitedMean({ mean: 700, spread: 1 }, 0)).toBe(0);
  });
});

describe("expectedPaid", () => {
  const fixed = { mean: 6000, spread: 0 };
  test("a contract that answers half the time pays half", () => {
    expect(expectedPaid(fixed, [sampleTerm({ deductible: 1000, chance: 0.5 })], "now")).toEqual([2500]);
  });

  test("of two that overlap, the second pays in full only when the first does not answer", () => {
    const terms = [
      sampleTerm({ limit: 4000, chance: 0.6 }),
      sampleTerm({ coverageId: "W2", limit: 5000, deductible: 1000, chance: 0.5 }),
    ];
    const [first, second] = expectedPaid(fixed, terms, "now");
    expect(first).toBeCloseTo(0.6 * 4000, 9);
    // With the first, 2,000 are left and 1,000 of these are paid; without it 5,000.
    expect(second).toBeCloseTo(0.5 * (0.6 * 1000 + 0.4 * 5000), 9);
  });

  test("cover for part of the year pays for that part; cover that starts later pays nothing for what is due now", () => {
    const term = sampleTerm({ from: 0.25, to: 0.75 });
    expect(expectedPaid(fixed, [term], "year")[0]).toBeCloseTo(3000, 9);
    expect(expectedPaid(fixed, [term], "now")).toEqual([0]);
    expect([0.2, 0.25, 0.74, 0.75].map((at) => isInForce(term, at))).toEqual([false, true, true, false]);
  });

  test("agrees with drawing losses and answers, for three contracts that come and go", () => {
    const severity = { mean: 20_000, spread: 1.1 };
    const terms = [
      sampleTerm({ limit: 15_000, deductible: 2500, chance: 0.7, to: 0.6 }),
      sampleTerm({ coverageId: "b", limit: 40_000, deductible: 1000, chance: 0.4, from: 0.3 }),
      sampleTerm({ coverageId: "c", limit: 9000, deductible: 0, chance: 0.5 }),
    ];
    const rng = seededRng("recovery");
    const n = 200_000;
    const sums = [0, 0, 0];
    let square = 0;
    for (let i = 0; i < n; i++) {
      const at = rng();
      const loss = Math.exp(
        Math.log(severity.mean) - severity.spread ** 2 / 2 + severity.spread * normalQuantile(rng()),
      );
      const answers = terms.map((t, k) => ({ k, ok: rng() < t.chance && isInForce(t, at) })).filter(({ ok }) => ok);
      let all = 0;
      for (const s of slicesOf(answers.map(({ k }) => terms[k] as (typeof terms)[number]))) {
        const paid = Math.max(0, Math.min(loss, s.to) - s.from);
        const k = answers[s.term]?.k as number;
        sums[k] = (sums[k] as number) + paid;
        all += paid;
      }
      square += all * all;
    }
    const expected = expectedPaid(severity, terms, "year");
    const error = Math.sqrt(square / n / n);
    for (const [k, sum] of sums.entries()) expect(Math.abs(sum / n - (expected[k] as number))).toBeLessThan(4 * error);
  });
});
