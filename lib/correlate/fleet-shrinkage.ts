import type { Residuals } from "./strata.ts";
import { conditionalLogLikelihood, onsetShares } from "./stratified-ratio.ts";

/** Log rate ratios that sites may have, beside exactly none. */
export const RATIO_GRID: readonly number[] = Array.from({ length: 56 }, (_, i) => -1.5 + 0.1 * i);
const STEPS = 300;
/** Sites' worth of belief that a ratio is possible before any site is seen, spread over the grid; assumed. */
const SPREAD = 1;
/** The same for no effect at all: most sites have none. */
const NO_EFFECT = 4;

/**
 * Log likelihood of each ratio of RATIO_GRID against none, tempered by the overdispersion: all that the fleet needs of
 * a site. Null when no onset can be compared.
 */
export function ratioGrid(onsets: ArrayLike<number>, on: Residuals, overdispersion: number): number[] | null {
  const shares = onsetShares(onsets, on);
  if (shares.n === 0) return null;
  return RATIO_GRID.map((g) => conditionalLogLikelihood(shares, g) / overdispersion);
}

export interface ShrunkRatio {
  siteId: string;
  /** Posterior mean of the log rate ratio, no effect counted as 0. */
  logRatio: number;
  /** Probability that weather does nothing at this site. */
  noEffect: number;
  /** Probability of a ratio above 1.2, and above 2. */
  above12: number;
  above2: number;
}

export interface FleetPrior {
  noEffect: number;
  grid: readonly number[];
  weight: Float64Array;
}

/**
 * Learn from the fleet how rate ratios are spread, with a point mass at no effect, and judge each site in its light: a
 * site with few onsets is drawn towards what sites are like, one with many keeps its own.
 *
 * @param sites `ratioGrid` of each
 * @returns the learned spread, and each site in the order given
 * @shape O(steps x sites x grid): empirical Bayes by expectation-maximisation, a fixed number of steps
 * @source Efron 2016, Biometrika 103, 1-20 (g-modelling), with a free mixture on a grid in place of splines
 */
export function fleetShrinkage(sites: readonly { siteId: string; grid: readonly number[] }[]): {
  prior: FleetPrior;
  sites: ShrunkRatio[];
} {
  const cells = RATIO_GRID.length + 1; // the first is no effect
  const likelihood = sites.map(({ grid: logs }) => {
    const top = Math.max(0, ...logs);
    return Float64Array.from([Math.exp(-top), ...logs.map((x) => Math.exp(x - top))]);
  });
  let weight = new Float64Array(cells).fill(0.3 / RATIO_GRID.length);
  weight[0] = 0.7;
  for (let step = 0; step < STEPS; step++) weight = maximise(likelihood, weight);
  return {
    prior: { noEffect: weight[0] as number, grid: RATIO_GRID, weight: weight.slice(1) },
    sites: sites.map(({ siteId }, k) => judge(siteId, posterior(likelihood[k] as Float64Array, weight))),
  };
}

function maximise(likelihood: readonly Float64Array[], weight: Float64Array): Float64Array<ArrayBuffer> {
  const next = new Float64Array(weight.length).fill(SPREAD / RATIO_GRID.length);
  next[0] = NO_EFFECT;
  for (const own of likelihood) {
    const p = posterior(own, weight);
    for (let c = 0; c < next.length; c++) next[c] = (next[c] as number) + (p[c] as number);
  }
  const total = next.reduce((a, b) => a + b, 0);
  return next.map((x) => x / total);
}

function posterior(likelihood: Float64Array, weight: Float64Array): Float64Array {
  let total = 0;
  const out = new Float64Array(weight.length);
  for (let c = 0; c < out.length; c++) {
    out[c] = (likelihood[c] as number) * (weight[c] as number);
    total += out[c] as number;
  }
  for (let c = 0; c < out.length; c++) out[c] = (out[c] as number) / total;
  return out;
}

function judge(siteId: string, p: Float64Array): ShrunkRatio {
  const above = (ratio: number) =>
    RATIO_GRID.reduce((sum, g, c) => (g > Math.log(ratio) + 1e-9 ? sum + (p[c + 1] as number) : sum), 0);
  return {
    siteId,
    logRatio: RATIO_GRID.reduce((sum, g, c) => sum + g * (p[c + 1] as number), 0),
    noEffect: p[0] as number,
    above12: above(1.2),
    above2: above(2),
  };
}
