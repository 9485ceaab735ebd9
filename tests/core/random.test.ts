import { describe, expect, test } from "vitest";
import { betaDeviate, gammaDeviate, normalDeviate, poissonDeviate, seededRng } from "../../lib/core/random.ts";

const N = 40_000;

function moments(draw: () => number): { mean: number; variance: number } {
  let sum = 0;
  let squares = 0;
  for (let i = 0; i < N; i++) {
    const x = draw();
    sum += x;
    squares += x * x;
  }
  return { mean: sum / N, variance: squares / N - (sum / N) ** 2 };
}

describe("seededRng", () => {
  test("the same seed gives the same stream, another seed another", () => {
    const take = (seed: string) => Array.from({ length: 5 }, seededRng(seed));
    expect(take("a")).toEqual(take("a"));
    expect(take("a")).not.toEqual(take("b"));
  });

  test("is uniform on [0, 1): mean and variance within five standard errors", () => {
    const { mean, variance } = moments(seededRng("uniform"));
    expect(Math.abs(mean - 0.5)).toBeLessThan(5 * Math.sqrt(1 / 12 / N));
    expect(Math.abs(variance - 1 / 12)).toBeLessThan(5 * Math.sqrt(1 / 180 / N));
  });
});

describe("deviates", () => {
  test("have the mean and variance of their distributions", () => {
    const rng = seededRng("moments");
    for (const [draw, mean, variance] of [
      [() => normalDeviate(rng), 0, 1],
      [() => poissonDeviate(rng, 3.5), 3.5, 3.5],
      [() => poissonDeviate(rng, 120), 120, 120],
      [() => gammaDeviate(rng, 0.4), 0.4, 0.4],
      [() => gammaDeviate(rng, 7), 7, 7],
      [() => betaDeviate(rng, 2, 5), 2 / 7, 10 / (49 * 8)],
    ] as const) {
      const got = moments(draw);
      expect(Math.abs(got.mean - mean)).toBeLessThan(6 * Math.sqrt(variance / N));
      expect(Math.abs(got.variance / variance - 1)).toBeLessThan(0.12);
    }
  });

  test("refuse parameters that have no distribution", () => {
    expect(() => poissonDeviate(seededRng("x"), -1)).toThrow(RangeError);
    expect(() => gammaDeviate(seededRng("x"), 0)).toThrow(RangeError);
  });
});
