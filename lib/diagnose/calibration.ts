import { logit, normalQuantile } from "../core/statistics.ts";

/** A probability that was stated before a visit and what the visit found. */
export interface Judged {
  /** Stated probability, 0 to 1. */
  p: number;
  /** Whether it turned out so. */
  found: boolean;
}

const requireSome = (what: string, judged: readonly Judged[]) => {
  if (judged.length === 0) throw new RangeError(`${what} requires at least 1 outcome`);
  const bad = judged.find(({ p }) => !(p >= 0 && p <= 1));
  if (bad) throw new RangeError(`${what} requires probabilities from 0 to 1, got ${bad.p}`);
};

/**
 * Mean squared distance of stated probabilities from what was found; 0 is best.
 * @source Brier 1950, in the half form that is usual for yes or no
 */
export function brierScore(judged: readonly Judged[]): number {
  requireSome("brierScore", judged);
  return judged.reduce((sum, { p, found }) => sum + (p - (found ? 1 : 0)) ** 2, 0) / judged.length;
}

/** Mean negative log-likelihood in nats; a certain statement that turns out wrong is held to 1e-12. */
export function logScore(judged: readonly Judged[]): number {
  requireSome("logScore", judged);
  const loss = ({ p, found }: Judged) => -Math.log(Math.max(1e-12, found ? p : 1 - p));
  return judged.reduce((sum, each) => sum + loss(each), 0) / judged.length;
}

/** Parts of the Brier score: it is reliability - resolution + uncertainty. */
export interface BrierParts {
  brier: number;
  reliability: number;
  resolution: number;
  uncertainty: number;
}

/**
 * Murphy's decomposition over groups of equal stated probability. It is exact only there: call it with probabilities
 * already rounded to the groups that are to be compared.
 * @source Murphy 1973, A new vector partition of the probability score
 */
export function brierDecomposition(judged: readonly Judged[]): BrierParts {
  requireSome("brierDecomposition", judged);
  const groups = new Map<number, { n: number; found: number }>();
  for (const { p, found } of judged) {
    const group = groups.get(p) ?? { n: 0, found: 0 };
    groups.set(p, { n: group.n + 1, found: group.found + (found ? 1 : 0) });
  }
  const n = judged.length;
  const base = judged.filter((each) => each.found).length / n;
  let reliability = 0;
  let resolution = 0;
  for (const [p, group] of groups) {
    const rate = group.found / group.n;
    reliability += (group.n / n) * (p - rate) ** 2;
    resolution += (group.n / n) * (rate - base) ** 2;
  }
  return { brier: brierScore(judged), reliability, resolution, uncertainty: base * (1 - base) };
}

/**
 * Wilson's interval for a share.
 * @returns bounds within 0 to 1; 0 to 1 for no trials
 * @source Wilson 1927
 */
export function wilsonInterval(hits: number, trials: number, level = 0.95): { low: number; high: number } {
  if (hits < 0 || hits > trials)
    throw new RangeError(`wilsonInterval requires 0 <= hits <= trials, got ${hits} of ${trials}`);
  if (trials === 0) return { low: 0, high: 1 };
  const z = normalQuantile(0.5 + level / 2);
  const share = hits / trials;
  const centre = share + (z * z) / (2 * trials);
  const half = z * Math.sqrt((share * (1 - share)) / trials + (z * z) / (4 * trials * trials));
  const scale = 1 + (z * z) / trials;
  return { low: hits === 0 ? 0 : (centre - half) / scale, high: hits === trials ? 1 : (centre + half) / scale };
}

/** One bar of a reliability diagram. */
export interface ReliabilityBin {
  from: number;
  to: number;
  trials: number;
  /** Mean stated probability, and share found, in the bin; null where it is empty. */
  stated: number | null;
  found: number | null;
  low: number;
  high: number;
  /** Whether the stated mean lies within the interval of what was found; null where it is empty. */
  agrees: boolean | null;
}

/** Reliability diagram in bins of equal width; the last one holds 1. */
export function reliabilityBins(judged: readonly Judged[], bins = 10, level = 0.95): ReliabilityBin[] {
  return Array.from({ length: bins }, (_, i) => {
    const inBin = judged.filter(({ p }) => Math.min(bins - 1, Math.floor(p * bins)) === i);
    const trials = inBin.length;
    const hits = inBin.filter((each) => each.found).length;
    const { low, high } = wilsonInterval(hits, trials, level);
    const range = { from: i / bins, to: (i + 1) / bins, trials, low, high };
    if (trials === 0) return { ...range, stated: null, found: null, agrees: null };
    const stated = inBin.reduce((sum, { p }) => sum + p, 0) / trials;
    return { ...range, stated, found: hits / trials, agrees: stated >= low && stated <= high };
  });
}

/**
 * Chance that a site with the defect was given a higher probability than one without; ties count half.
 * @returns null where all outcomes are alike
 * @source the Mann-Whitney form of the area under the ROC curve (Hanley and McNeil 1982)
 */
export function auc(judged: readonly Judged[]): number | null {
  const sorted = judged.toSorted((a, b) => a.p - b.p);
  const yes = sorted.filter((each) => each.found).length;
  const no = sorted.length - yes;
  if (yes === 0 || no === 0) return null;
  let rankSum = 0;
  for (let i = 0; i < sorted.length; ) {
    let end = i;
    while (end < sorted.length && (sorted[end] as Judged).p === (sorted[i] as Judged).p) end++;
    const rank = (i + 1 + end) / 2;
    for (let j = i; j < end; j++) if ((sorted[j] as Judged).found) rankSum += rank;
    i = end;
  }
  return (rankSum - (yes * (yes + 1)) / 2) / (yes * no);
}

/**
 * Slope and intercept of a logistic fit of what was found on the stated log odds: 1 and 0 when calibrated; a slope
 * below 1 means stated too boldly.
 * @returns null where all outcomes or all statements are alike, or the two separate completely
 * @source Cox 1958, Two further applications of a model for binary regression
 */
export function calibrationLine(
  judged: readonly Judged[],
): { slope: number; intercept: number; slopeSd: number } | null {
  const found = judged.filter((each) => each.found).length;
  if (found === 0 || found === judged.length || new Set(judged.map(({ p }) => p)).size < 2) return null;
  const xs = judged.map(({ p }) => logit(Math.min(1 - 1e-9, Math.max(1e-9, p))));
  let slope = 1;
  let intercept = 0;
  for (let step = 0; step < 50; step++) {
    const sums = { g0: 0, g1: 0, h00: 0, h01: 0, h11: 0 };
    judged.forEach((each, i) => {
      const x = xs[i] as number;
      const mu = 1 / (1 + Math.exp(-(intercept + slope * x)));
      const rest = (each.found ? 1 : 0) - mu;
      const w = mu * (1 - mu);
      sums.g0 += rest;
      sums.g1 += rest * x;
      sums.h00 += w;
      sums.h01 += w * x;
      sums.h11 += w * x * x;
    });
    const det = sums.h00 * sums.h11 - sums.h01 ** 2;
    if (!(det > 1e-12) || Math.abs(slope) > 50) return null;
    const moveSlope = (sums.h00 * sums.g1 - sums.h01 * sums.g0) / det;
    intercept += (sums.h11 * sums.g0 - sums.h01 * sums.g1) / det;
    slope += moveSlope;
    if (Math.abs(moveSlope) < 1e-10) return { slope, intercept, slopeSd: Math.sqrt(sums.h00 / det) };
  }
  return null;
}
