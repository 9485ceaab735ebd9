import { describe, expect, test } from "vitest";
import { normalDeviate, seededRng } from "../../lib/core/random.ts";
import { binomialCdf, normalCdf, normalQuantile } from "../../lib/core/statistics.ts";
import { normalCdfFast } from "../../lib/coverage/gaussian-copula.ts";
import { changeOf, pairMean, tailFigures } from "../../lib/coverage/loss-tail.ts";
import { drawn, siteToDraw } from "../support/loss-cases.ts";

/** Share of years in which at least `least` sites of the batch have a defect, with its error. */
function atLeast(defects: Uint16Array | undefined, least: number) {
  return pairMean(Float64Array.from(defects ?? [], (d) => (d >= least ? 1 : 0)));
}
const batchOf = (n: number, p: number) => Array.from({ length: n }, (_, i) => siteToDraw(`S${i}`, p, { batch: "H1" }));
const SIGMAS = 4;

describe("defects of independent sites", () => {
  test("are binomial: tables of the binomial distribution, n = 20, p = 0.25 (standard tables, from memory)", () => {
    const [defects] = drawn(batchOf(20, 0.25), 40_000).defectsByBatch;
    // P(X <= 7) = 0.8982, P(X <= 3) = 0.2252, P(X <= 9) = 0.9861
    for (const [k, below] of [
      [3, 0.2252],
      [7, 0.8982],
      [9, 0.9861],
    ] as const) {
      expect(binomialCdf(k, 20, 0.25)).toBeCloseTo(below, 4);
      const { value, error } = atLeast(defects, k + 1);
      expect(Math.abs(value - (1 - below))).toBeLessThan(SIGMAS * error);
    }
  });

  test("are Poisson where many are rare: table of the Poisson distribution, mean 2 (standard tables, from memory)", () => {
    const [defects] = drawn(batchOf(2000, 0.001), 20_000).defectsByBatch;
    // P(X <= 0) = 0.1353, P(X <= 2) = 0.6767, P(X <= 4) = 0.9473, P(X <= 6) = 0.9955
    for (const [k, below] of [
      [0, 0.1353],
      [2, 0.6767],
      [4, 0.9473],
      [6, 0.9955],
    ] as const) {
      const { value, error } = atLeast(defects, k + 1);
      expect(Math.abs(value - (1 - below))).toBeLessThan(SIGMAS * error + 1e-4);
    }
  });
});

describe("defects of sites with a common factor", () => {
  test("fully dependent sites fail all together or not at all, with the probability of one", () => {
    const [defects] = drawn(batchOf(30, 0.2), 20_000, { sharedBatch: 1 }).defectsByBatch;
    expect(new Set(defects)).toEqual(new Set([0, 30]));
    const { value, error } = atLeast(defects, 30);
    expect(Math.abs(value - 0.2)).toBeLessThan(SIGMAS * error);
  });

  test("many alike sites follow Vasicek's distribution of the share that fails (Vasicek 2002, Risk 15)", () => {
    const [p, rho, n, years] = [0.05, 0.25, 1500, 6000];
    const [defects] = drawn(batchOf(n, p), years, { sharedBatch: rho }).defectsByBatch;
    const share = Float64Array.from(defects ?? [], (d) => d / n);
    expect(Math.abs(pairMean(share).value - p)).toBeLessThan(SIGMAS * pairMean(share).error);
    for (const level of [0.95, 0.975, 0.99]) {
      const limit = normalCdf((normalQuantile(p) + Math.sqrt(rho) * normalQuantile(level)) / Math.sqrt(1 - rho));
      const { valueAtRisk } = tailFigures(share, level);
      // 1,500 sites are not infinitely many: the binomial scatter of a year is an error of its own, of less than 1 %.
      expect(Math.abs(valueAtRisk.value - limit)).toBeLessThan(SIGMAS * valueAtRisk.error + 0.004);
    }
  });

  test("two sites fail together as the bivariate normal says: at p = 1/2 with 1/4 + arcsin(rho) / 2 pi (Sheppard 1899)", () => {
    for (const rho of [0.1, 0.5, 0.8]) {
      const [defects] = drawn(batchOf(2, 0.5), 40_000, { sharedBatch: rho }).defectsByBatch;
      const { value, error } = atLeast(defects, 2);
      expect(Math.abs(value - (0.25 + Math.asin(rho) / (2 * Math.PI)))).toBeLessThan(SIGMAS * error);
    }
  });

  test("at least m of N is the binomial tail averaged over the factor, by quadrature", () => {
    const [n, p, rho, m] = [12, 0.1, 0.3, 4];
    let exact = 0;
    for (let i = 0; i < 4000; i++) {
      const z = normalQuantile((i + 0.5) / 4000);
      const q = normalCdf((normalQuantile(p) - Math.sqrt(rho) * z) / Math.sqrt(1 - rho));
      exact += (1 - binomialCdf(m - 1, n, q)) / 4000;
    }
    const [defects] = drawn(batchOf(n, p), 40_000, { sharedBatch: rho }).defectsByBatch;
    const { value, error } = atLeast(defects, m);
    expect(Math.abs(value - exact)).toBeLessThan(SIGMAS * error);
  });

  test("the grid of the normal distribution is within 5e-7 of it everywhere", () => {
    for (let x = -8.5; x <= 8.5; x += 0.00137) expect(Math.abs(normalCdfFast(x) - normalCdf(x))).toBeLessThan(5e-7);
  });
});

describe("value at risk and expected shortfall", () => {
  /** Antithetic pairs of a transformed normal. */
  function sample(of: (z: number) => number, years = 40_000, seed = "tail"): Float64Array {
    const rng = seededRng(seed);
    const out = new Float64Array(years);
    for (let j = 0; j < years; j += 2) {
      const z = normalDeviate(rng);
      out[j] = of(z);
      out[j + 1] = of(-z);
    }
    return out;
  }
  const density = (z: number) => Math.exp(-(z ** 2) / 2) / Math.sqrt(2 * Math.PI);

  test("of a normal loss: z and density / (1 - p); 1.645, 1.960, 2.326 and 2.063, 2.338, 2.665 (textbook values)", () => {
    const values = sample((z) => z);
    for (const [level, risk, short] of [
      [0.95, 1.645, 2.063],
      [0.975, 1.96, 2.338],
      [0.99, 2.326, 2.665],
    ] as const) {
      expect(normalQuantile(level)).toBeCloseTo(risk, 3);
      expect(density(normalQuantile(level)) / (1 - level)).toBeCloseTo(short, 3);
      const found = tailFigures(values, level);
      expect(Math.abs(found.valueAtRisk.value - risk)).toBeLessThan(SIGMAS * found.valueAtRisk.error);
      expect(Math.abs(found.expectedShortfall.value - short)).toBeLessThan(SIGMAS * found.expectedShortfall.error);
    }
  });

  test("of a lognormal loss: exp(mu + s z) and mean x Φ(s - z) / (1 - p) (Klugman, Panjer and Willmot, Loss Models)", () => {
    const [mu, s] = [9, 0.8];
    const values = sample((z) => Math.exp(mu + s * z));
    for (const level of [0.95, 0.975, 0.99]) {
      const z = normalQuantile(level);
      const risk = Math.exp(mu + s * z);
      const short = (Math.exp(mu + s ** 2 / 2) * normalCdf(s - z)) / (1 - level);
      const found = tailFigures(values, level);
      expect(Math.abs(found.valueAtRisk.value - risk)).toBeLessThan(SIGMAS * found.valueAtRisk.error);
      expect(Math.abs(found.expectedShortfall.value - short)).toBeLessThan(SIGMAS * found.expectedShortfall.error);
    }
  });

  test("the stated errors are those that repeats show", () => {
    const repeats = 120;
    const found = Array.from({ length: repeats }, (_, r) => {
      const values = sample((z) => Math.exp(z), 4000, `repeat ${r}`);
      const other = values.map((x, j) => 0.8 * x + (j % 7 === 0 ? 0.3 : 0));
      return { tail: tailFigures(values, 0.975), change: changeOf(values, other, [0.975]) };
    });
    const compare = (of: (f: (typeof found)[number]) => { value: number; error: number }) => {
      const mean = found.reduce((sum, f) => sum + of(f).value, 0) / repeats;
      const seen = Math.sqrt(found.reduce((sum, f) => sum + (of(f).value - mean) ** 2, 0) / (repeats - 1));
      const stated = found.reduce((sum, f) => sum + of(f).error, 0) / repeats;
      // The scatter of 120 repeats is itself known to some 7 %.
      expect(stated / seen).toBeGreaterThan(0.75);
      expect(stated / seen).toBeLessThan(1.35);
    };
    compare((f) => f.tail.valueAtRisk);
    compare((f) => f.tail.expectedShortfall);
    compare((f) => f.change.mean);
    compare((f) => (f.change.tail[0] as (typeof f.change.tail)[number]).expectedShortfall);
  });

  test("a level that leaves no tail, or an odd number of years, is the caller's mistake", () => {
    expect(() => tailFigures(new Float64Array(100), 0.999)).toThrow(RangeError);
    expect(() => pairMean(new Float64Array(7))).toThrow(RangeError);
  });
});
