/**
 * Thin, named functions over @stdlib: the distributions that the rooms use, with arguments in the order
 * statisticians write them. Checked against published tables in tests/core.
 */
import betaln from "@stdlib/math-base-special-betaln";
import gammaln from "@stdlib/math-base-special-gammaln";
import betaCdfRaw from "@stdlib/stats-base-dists-beta-cdf";
import betaQuantileRaw from "@stdlib/stats-base-dists-beta-quantile";
import binomialCdfRaw from "@stdlib/stats-base-dists-binomial-cdf";
import binomialPmfRaw from "@stdlib/stats-base-dists-binomial-pmf";
import gammaCdfRaw from "@stdlib/stats-base-dists-gamma-cdf";
import gammaQuantileRaw from "@stdlib/stats-base-dists-gamma-quantile";
import normalCdfRaw from "@stdlib/stats-base-dists-normal-cdf";
import normalQuantileRaw from "@stdlib/stats-base-dists-normal-quantile";

/** ln Γ(x). */
export const logGamma = (x: number): number => gammaln(x);
/** ln B(a, b). */
export const logBeta = (a: number, b: number): number => betaln(a, b);
/** P(X <= x), X ~ Beta(a, b). */
export const betaCdf = (x: number, a: number, b: number): number => betaCdfRaw(x, a, b);
/** Quantile of Beta(a, b). */
export const betaQuantile = (p: number, a: number, b: number): number => betaQuantileRaw(p, a, b);
/** P(K <= k), K ~ Binomial(n, p). */
export const binomialCdf = (k: number, n: number, p: number): number => binomialCdfRaw(k, n, p);
/** P(K = k), K ~ Binomial(n, p). */
export const binomialPmf = (k: number, n: number, p: number): number => binomialPmfRaw(k, n, p);
/** P(X <= x), X ~ Gamma(shape, rate). */
export const gammaCdf = (x: number, shape: number, rate: number): number => gammaCdfRaw(x, shape, rate);
/** Quantile of Gamma(shape, rate). */
export const gammaQuantile = (p: number, shape: number, rate: number): number => gammaQuantileRaw(p, shape, rate);
/** P(Z <= z), Z standard normal. */
export const normalCdf = (z: number): number => normalCdfRaw(z, 0, 1);
/** Quantile of the standard normal. */
export const normalQuantile = (p: number): number => normalQuantileRaw(p, 0, 1);

/** log(sum(exp(values))), stable; -Infinity for an empty list. */
export function logSumExp(values: ArrayLike<number>): number {
  let max = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) max = Math.max(max, values[i] as number);
  if (max === Number.NEGATIVE_INFINITY) return max;
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += Math.exp((values[i] as number) - max);
  return max + Math.log(sum);
}

/** ln(p / (1 - p)). */
export const logit = (p: number): number => Math.log(p) - Math.log1p(-p);
/** Inverse of logit, stable at both ends. */
export const expit = (x: number): number => (x >= 0 ? 1 / (1 + Math.exp(-x)) : Math.exp(x) / (1 + Math.exp(x)));
/** Weight of evidence in decibans: 10 log10 of an odds ratio given as a natural log. */
export const decibans = (logOdds: number): number => (10 * logOdds) / Math.LN10;

/**
 * Quantile of a sample by linear interpolation (type 7 of Hyndman and Fan 1996, the default of R and numpy).
 * @throws RangeError when the sample is empty
 */
export function sampleQuantile(values: ArrayLike<number>, p: number): number {
  const own = values instanceof Float64Array ? values.slice() : Float64Array.from(values);
  if (own.length === 0) throw new RangeError("sampleQuantile requires at least 1 value");
  const h = (own.length - 1) * p;
  const lo = Math.floor(h);
  if (own.length <= SORTED_UP_TO) own.sort();
  else placeRank(own, lo);
  let above = own[Math.min(lo + 1, own.length - 1)] as number;
  // Beyond its rank a selection leaves the larger values in no order.
  if (own.length > SORTED_UP_TO) for (let i = lo + 2; i < own.length; i++) above = Math.min(above, own[i] as number);
  return (own[lo] as number) + (h - lo) * (above - (own[lo] as number));
}

const SORTED_UP_TO = 200;

/**
 * Move values until the one at a place is the one that sorting would put there, smaller ones before and larger ones after.
 * @source Hoare 1961, Communications of the ACM 4, 321-322 (algorithm 65, from memory)
 */
function placeRank(values: Float64Array, rank: number): void {
  let left = 0;
  let right = values.length - 1;
  while (left < right) {
    const pivot = values[(left + right) >> 1] as number;
    let i = left;
    let j = right;
    while (i <= j) {
      while ((values[i] as number) < pivot) i++;
      while ((values[j] as number) > pivot) j--;
      if (i > j) break;
      const kept = values[i] as number;
      values[i++] = values[j] as number;
      values[j--] = kept;
    }
    if (rank <= j) right = j;
    else if (rank >= i) left = i;
    else return;
  }
}
