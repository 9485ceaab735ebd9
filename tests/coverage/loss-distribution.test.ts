import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import { CAUSES, type Cause } from "../../lib/core/records.ts";
import { distributionSteps, lossDistribution, serialLeast } from "../../lib/coverage/loss-distribution.ts";
import { type Alternative, lossModel, type SiteToDraw } from "../../lib/coverage/loss-model.ts";
import { netAnnualLoss } from "../../lib/coverage/loss-net.ts";
import { DEFAULT_LOSS_PARAMETERS } from "../../lib/coverage/loss-parameters.ts";
import { drawnYears, LossSimulation } from "../../lib/coverage/loss-simulation.ts";
import { changeOf, pairMean, tailYears } from "../../lib/coverage/loss-tail.ts";
import { drawn, sampleTerm, siteToDraw } from "../support/loss-cases.ts";

const SHARES = { sharedInstaller: 0.1, sharedBatch: 0.15 };
const params = DEFAULT_LOSS_PARAMETERS;

/** Sites with every cause, all kinds of loss and contracts that overlap. */
function fleet(n = 40, seed = "fleet"): SiteToDraw[] {
  const rng = seededRng(seed);
  return Array.from({ length: n }, (_, i) => {
    const id = `S${i}`;
    const base = siteToDraw(id, 0, {
      book: ["North", "River"][i % 2] as string,
      installer: `I${i % 4}`,
      batch: `H${i % 3}`,
      terms: [
        sampleTerm({ coverageId: `W${id}`, chance: 0.4, deductible: 200, limit: 3000, policy: `W${id}` }),
        sampleTerm({ coverageId: `X${id}`, chance: 0.5, deductible: 0, limit: 1500, policy: `X${id}` }),
        sampleTerm({
          coverageId: `P${id}`,
          claim: "property",
          chance: 0.5,
          deductible: 5000,
          from: 0.2,
          policy: `P${id}`,
        }),
      ],
    });
    return {
      ...base,
      severities: base.severities.map((s) => ({
        ...s,
        probability: 0.25 * rng(),
        repair: { mean: 900, spread: 0.8 },
        escalation: 0.2,
        propertyPerYear: 0.02,
        property: { mean: 40_000, spread: 1.2 },
        peoplePerYear: 0.004,
        people: { mean: 200_000, spread: 1 },
        energy: 3,
      })),
    };
  });
}
const visiting = (sites: readonly SiteToDraw[], share: number): Alternative => ({
  stays: new Map(
    sites.map((s) => [s.siteId, Object.fromEntries(CAUSES.map((c) => [c, share])) as Record<Cause, number>]),
  ),
  terms: new Map(),
});

describe("LossSimulation", () => {
  test("the mean of the drawn years is the expected loss that the closed form gives, gross and net", () => {
    const sites = fleet();
    const years = drawn(sites, 30_000, SHARES);
    const exact = sites.map((s) => netAnnualLoss(s.severities, s.terms, { p: 0.5, low: 0.4, high: 0.6 }));
    for (const [found, of] of [
      [pairMean(years.gross), "gross"],
      [pairMean(years.net), "net"],
    ] as const)
      expect(Math.abs(found.value - exact.reduce((sum, e) => sum + e[of], 0))).toBeLessThan(4 * found.error);
  });

  test("common cause leaves the mean alone and moves the tail", () => {
    const sites = Array.from({ length: 300 }, (_, i) => siteToDraw(`S${i}`, 0.1, { installer: `I${i % 5}` }));
    const alone = lossDistribution(lossModel(sites, { sharedInstaller: 0, sharedBatch: 0 }), {
      seed: "a",
      years: 8000,
      params,
    });
    const together = lossDistribution(lossModel(sites, { sharedInstaller: 0.2, sharedBatch: 0 }), {
      seed: "a",
      years: 8000,
      params,
    });
    expect(Math.abs(together.whole.net.value - alone.whole.net.value)).toBeLessThan(4 * together.whole.net.error);
    const rise = (together.whole.tail[2]?.valueAtRisk.value ?? 0) - (alone.whole.tail[2]?.valueAtRisk.value ?? 0);
    expect(rise).toBeGreaterThan(10 * (together.whole.tail[2]?.valueAtRisk.error ?? 0));
  });

  test("a limit for the year that several sites share is never paid twice", () => {
    const shared = sampleTerm({ policy: "policy 7", yearLimit: 1500, limit: 1500 });
    const sites = Array.from({ length: 3 }, (_, i) =>
      siteToDraw(`S${i}`, 1, { terms: [{ ...shared, coverageId: `C${i}` }] }),
    );
    // Three certain repairs of 1,000 under one limit of 1,500.
    expect([...drawn(sites, 400).net].every((net) => Math.abs(net - 1500) < 1e-9)).toBe(true);
  });

  test("the same seed gives the same years to the bit, another seed others, and any year can be drawn again", () => {
    const sites = fleet(12);
    const one = drawn(sites, 600, SHARES, "a");
    expect(drawn(sites, 600, SHARES, "a")).toEqual(one);
    expect(drawn(sites, 600, SHARES, "b").net).not.toEqual(one.net);
    const again = new Float64Array(sites.length);
    const severe = new Float64Array(sites.length);
    const simulation = new LossSimulation(lossModel(sites, SHARES), "a");
    for (const year of [0, 17, 598]) {
      simulation.sitesOf(year, again, severe);
      expect(again.reduce((sum, x, i) => sum + x + (severe[i] as number), 0)).toBeCloseTo(one.net[year] as number, 6);
    }
  });

  test("an alternative meets the same years: what was there stays the same number, and nothing gets worse by a visit", () => {
    const sites = fleet(20);
    const plain = drawn(sites, 800, SHARES, "crn");
    const model = lossModel(sites, SHARES, visiting(sites.slice(0, 5), 0.2));
    const both = drawnYears(model, 800);
    new LossSimulation(model, "crn").run(both, 0, 800);
    expect(both.net).toEqual(plain.net);
    for (let y = 0; y < 800; y++) expect(both.netThen[y] as number).toBeLessThanOrEqual((both.net[y] as number) + 1e-6);
  });

  test("common random numbers make a difference several times surer than two separate draws would", () => {
    const sites = fleet(60);
    const model = lossModel(sites, SHARES, visiting(sites.slice(0, 6), 0.2));
    const years = 6000;
    const both = drawnYears(model, years);
    new LossSimulation(model, "one").run(both, 0, years);
    const other = drawnYears(model, years);
    new LossSimulation(model, "two").run(other, 0, years);
    const common = changeOf(both.net, both.netThen);
    const separate = changeOf(both.net, other.netThen);
    expect(common.mean.error).toBeLessThan(separate.mean.error / 2);
    for (const [k, { valueAtRisk, expectedShortfall }] of common.tail.entries()) {
      expect(valueAtRisk.error).toBeLessThan((separate.tail[k]?.valueAtRisk.error ?? 0) / 1.3);
      expect(expectedShortfall.error).toBeLessThan((separate.tail[k]?.expectedShortfall.error ?? 0) / 1.3);
    }
    // And the difference is the right one: a fifth of what six sites would lose stays.
    const exact = sites
      .slice(0, 6)
      .map((s) => netAnnualLoss(s.severities, s.terms, { p: 0.5, low: 0.4, high: 0.6 }))
      .reduce((sum, e) => sum - 0.8 * (e.net - e.byCause.reduce((total, c) => total + c.energy, 0)), 0);
    expect(Math.abs(common.mean.value - exact)).toBeLessThan(4 * common.mean.error);
  });

  test("opposite factors of a pair make the mean surer than as many years each on its own", () => {
    const sites = Array.from({ length: 400 }, (_, i) => siteToDraw(`S${i}`, 0.3, { installer: "I" }));
    const { net } = drawn(sites, 4000, { sharedInstaller: 0.3 });
    const mean = net.reduce((sum, x) => sum + x, 0) / net.length;
    const plain = Math.sqrt(net.reduce((sum, x) => sum + (x - mean) ** 2, 0) / net.length / net.length);
    expect(pairMean(net).error).toBeLessThan(0.5 * plain);
  });
});

describe("lossDistribution", () => {
  test("the parts of the sites sum to the expected shortfall, of each book and of the account", () => {
    const sites = fleet(30);
    const model = lossModel(sites, SHARES);
    const found = lossDistribution(model, { seed: "parts", years: 4100, params });
    const sum = (parts: Float64Array, book: number | null) =>
      parts.reduce((total, x, i) => total + (book === null || model.bookOf[i] === book ? x : 0), 0);
    const short = (b: (typeof found.books)[number]) => b.tail[1]?.expectedShortfall.value ?? 0;
    expect(sum(found.partOfWhole, null)).toBeCloseTo(short(found.whole), 4);
    for (const [b, book] of found.books.entries()) expect(sum(found.partOfBook, b)).toBeCloseTo(short(book), 4);
    // Books add up year by year, so the whole is never worse in the tail than the books beside each other.
    expect(short(found.whole)).toBeLessThanOrEqual(found.books.reduce((total, b) => total + short(b), 0) + 1e-6);
  });

  test("the part of a site is what many more years show it to be, though a severe loss strikes it once in centuries", () => {
    const sites = fleet(8).map((s, i) => ({
      ...s,
      severities: s.severities.map((c) => ({ ...c, peoplePerYear: 0.0015 * (1 + i), propertyPerYear: 0.004 })),
    }));
    const model = lossModel(sites, SHARES);
    const found = lossDistribution(model, { seed: "short", years: 20_000, params });
    const long = 300_000;
    const drawnLong = drawnYears(model, long);
    const simulation = new LossSimulation(model, "long");
    simulation.run(drawnLong, 0, long);
    const counted = new Float64Array(sites.length);
    const [a, b] = [new Float64Array(sites.length), new Float64Array(sites.length)];
    for (const { year, weight } of tailYears(drawnLong.net, 0.975)) {
      simulation.sitesOf(year, a, b);
      for (let i = 0; i < sites.length; i++)
        counted[i] = (counted[i] as number) + weight * ((a[i] as number) + (b[i] as number));
    }
    const whole = counted.reduce((sum, x) => sum + x, 0);
    const got = found.partOfWhole.reduce((sum, x) => sum + x, 0);
    // Shares of the shortfall, to three hundredths of it: counting 300,000 years is itself no surer.
    for (let i = 0; i < sites.length; i++)
      expect(Math.abs((found.partOfWhole[i] as number) / got - (counted[i] as number) / whole)).toBeLessThan(0.03);
  });

  test("an exceedance curve falls from likely to rare, and value at risk lies on it", () => {
    const { whole } = lossDistribution(lossModel(fleet(30), SHARES), { seed: "curve", years: 4000, params });
    for (let i = 1; i < whole.curve.length; i++) {
      expect(whole.curve[i]?.probability).toBeLessThan(whole.curve[i - 1]?.probability ?? 1);
      expect(whole.curve[i]?.loss).toBeGreaterThanOrEqual(whole.curve[i - 1]?.loss ?? 0);
    }
    const above = whole.curve.filter((point) => point.loss > (whole.tail[0]?.valueAtRisk.value ?? 0));
    expect(Math.max(...above.map((point) => point.probability))).toBeLessThanOrEqual(0.05);
  });

  test("the work can be followed and stopped between its steps", () => {
    const steps = distributionSteps(lossModel(fleet(400), SHARES), { seed: "s", years: 4000, params });
    const seen = [];
    for (const step of steps) {
      seen.push(step.done);
      if (seen.length === 2) break;
    }
    expect(seen).toEqual([1000, 2000]);
  });

  test("a site in two books, or too few years, is refused with what is wrong", () => {
    const twice = [siteToDraw("S1", 0.1), siteToDraw("S1", 0.1, { book: "River" })];
    expect(() => lossModel(twice, SHARES)).toThrow("S1 twice");
    expect(() => lossDistribution(lossModel([], SHARES), { seed: "s", years: 401, params })).toThrow(RangeError);
  });

  test("a batch counts as serially defective from a tenth of its sites, never fewer than three", () => {
    expect([5, 30, 31, 100].map((n) => serialLeast(n, params))).toEqual([3, 3, 4, 10]);
  });
});
