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
  const likelihood = new Float64Array(sites.length * cells);
  for (const [k, { grid: logs }] of sites.entries()) {
    const top = Math.max(0, ...logs);
    likelihood[k * cells] = Math.exp(-top);
    for (let c = 1; c < cells; c++) likelihood[k * cells + c] = Math.exp((logs[c - 1] as number) - top);
  }
  let weight = new Float64Array(cells).fill(0.3 / RATIO_GRID.length);
  weight[0] = 0.7;
  for (let step = 0; step < STEPS; step++) weight = maximise(likelihood, weight);
  return {
    prior: { noEffect: weight[0] as number, grid: RATIO_GRID, weight: weight.slice(1) },
    sites: sites.map(({ siteId }, k) =>
      judge(siteId, posterior(likelihood.subarray(k * cells, (k + 1) * cells), weight)),
    ),
  };
}

/**
 * One step: the prior's own belief and the posteriors of all sites, made to sum to one. A posterior is likelihood times weight
 * over its sum, so the weight is put to the sum over sites and not to each of them.
 * @param likelihood sites one after the other, as many cells each as there are weights
 */
function maximise(likelihood: Float64Array, weight: Float64Array): Float64Array<ArrayBuffer> {
  const cells = weight.length;
  const sum = new Float64Array(cells);
  for (let at = 0; at < likelihood.length; at += cells) {
    let total = 0;
    for (let c = 0; c < cells; c++) total += (likelihood[at + c] as number) * (weight[c] as number);
    const share = 1 / total;
    for (let c = 0; c < cells; c++) sum[c] = (sum[c] as number) + (likelihood[at + c] as number) * share;
  }
  const next = sum.map((x, c) => x * (weight[c] as number) + (c === 0 ? NO_EFFECT : SPREAD / RATIO_GRID.length));
  const whole = next.reduce((a, b) => a + b, 0);
  return next.map((x) => x / whole);
}

function posterior(likelihood: Float64Array, weight: Float64Array): Float64Array {
  const out = likelihood.map((x, c) => x * (weight[c] as number));
  const total = out.reduce((a, b) => a + b, 0);
  return out.map((x) => x / total);
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
