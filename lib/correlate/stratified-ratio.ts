import type { Residuals } from "./strata.ts";

export interface StratifiedRatio {
  /** Conditional maximum-likelihood ratio; null when no onset was dry, or none can be compared. */
  ratio: number | null;
  lower: number | null;
  /** null: no upper limit (no onset was dry), or nothing can be compared. */
  upper: number | null;
}

const STEP = 0.04;
const FROM = -6;
const CELLS = 326;
/** Above this overdispersion the tempered interval is still too narrow by simulation, and is widened on the log scale. */
const STRONG = 1.5;
const WIDEN = 1.2;

/**
 * Rate ratio wet over dry within strata of solar hour and month, with an interval tempered by overdispersion.
 *
 * An onset in a stratum with share p of wet hours is wet with chance r p / (r p + 1 - p). The ratio is the most likely
 * r; the interval is that of the posterior under Jeffreys' prior, with the likelihood raised to 1 / overdispersion so
 * that runs of dependent onsets do not count as independent ones. With one common p and no overdispersion it is the
 * Jeffreys interval of a binomial share.
 *
 * @param onsets indexes into the residuals; those in strata that are all wet or all dry say nothing
 * @throws RangeError when the overdispersion is below 1
 * @shape O(326 x distinct strata of the onsets)
 */
export function stratifiedRatio(
  onsets: ArrayLike<number>,
  { share, residual }: Residuals,
  overdispersion: number,
  level = 0.95,
): StratifiedRatio {
  if (!(overdispersion >= 1)) throw new RangeError(`stratifiedRatio requires 1 or more, got ${overdispersion}`);
  const { times, n, wet } = onsetShares(onsets, { share, residual });
  if (n === 0) return { ratio: null, lower: null, upper: null };
  const log = logPosterior(times, wet, overdispersion);
  const at = quantiles(log.posterior, [(1 - level) / 2, (1 + level) / 2]);
  const widen = overdispersion > STRONG ? WIDEN : 1;
  const best = FROM + STEP * peak(log.likelihood);
  const away = (q: number) => Math.exp(best + widen * (q - best));
  if (wet === n) return { ratio: null, lower: Math.exp(at[0] as number), upper: null };
  if (wet === 0) return { ratio: 0, lower: 0, upper: Math.exp(at[1] as number) };
  return { ratio: Math.exp(best), lower: away(at[0] as number), upper: away(at[1] as number) };
}

/** Onsets that can be compared, by the share of their stratum. */
export interface OnsetShares {
  /** Share of wet hours, and how many onsets lie in strata with it. */
  times: Map<number, number>;
  n: number;
  wet: number;
}

/** Onsets by the share of their stratum; those in strata that are all on or all off are left out. */
export function onsetShares(
  onsets: ArrayLike<number>,
  { share, residual }: Pick<Residuals, "share" | "residual">,
): OnsetShares {
  const times = new Map<number, number>();
  let n = 0;
  let wet = 0;
  for (let k = 0; k < onsets.length; k++) {
    const p = share[onsets[k] as number] as number;
    if (!(p > 0) || !(p < 1)) continue;
    n++;
    if ((residual[onsets[k] as number] as number) > 0) wet++;
    times.set(p, (times.get(p) ?? 0) + 1);
  }
  return { times, n, wet };
}

/** Log likelihood of a log rate ratio given the strata of the onsets; 0 at no effect. */
export function conditionalLogLikelihood({ times, wet }: OnsetShares, logRatio: number): number {
  const extra = Math.expm1(logRatio);
  let sum = wet * logRatio;
  for (const [p, count] of times) sum -= count * Math.log1p(p * extra);
  return sum;
}

function logPosterior(times: Map<number, number>, wet: number, overdispersion: number) {
  const likelihood = new Float64Array(CELLS);
  const posterior = new Float64Array(CELLS);
  // Gone over for every cell: a map would make a pair each time.
  const shares = Float64Array.from(times.keys());
  const counts = Float64Array.from(times.values());
  for (let c = 0; c < CELLS; c++) {
    const logRatio = FROM + c * STEP;
    const extra = Math.expm1(logRatio);
    let sum = wet * logRatio;
    let information = 0;
    for (let k = 0; k < shares.length; k++) {
      const p = shares[k] as number;
      const count = counts[k] as number;
      const total = 1 + p * extra;
      sum -= count * Math.log(total);
      const w = (p * (1 + extra)) / total;
      information += count * w * (1 - w);
    }
    likelihood[c] = sum;
    posterior[c] = sum / overdispersion + Math.log(information) / 2;
  }
  return { likelihood, posterior };
}

/** Place of the maximum, between cells by the parabola through the highest three. */
function peak(log: Float64Array): number {
  let best = 0;
  for (let c = 1; c < log.length; c++) if ((log[c] as number) > (log[best] as number)) best = c;
  if (best === 0 || best === log.length - 1) return best;
  const [a, b, c] = [log[best - 1] as number, log[best] as number, log[best + 1] as number];
  const bend = a - 2 * b + c;
  return bend < 0 ? best + (a - c) / (2 * bend) : best;
}

function quantiles(log: Float64Array, at: readonly number[]): number[] {
  const top = log.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  const mass = log.map((x) => Math.exp(x - top));
  const total = mass.reduce((a, b) => a + b, 0);
  return at.map((q) => {
    let below = 0;
    for (let c = 0; c < mass.length; c++) {
      const own = (mass[c] as number) / total;
      // Mass of a cell is spread evenly over it.
      if (below + own >= q) return FROM + STEP * (c - 0.5 + (q - below) / own);
      below += own;
    }
    return FROM + STEP * (mass.length - 1);
  });
}
