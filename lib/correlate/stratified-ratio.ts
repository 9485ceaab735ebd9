import { betaQuantile } from "../core/statistics.ts";

export interface StratifiedRatio {
  /** null when no onset was dry, or none can be compared. */
  ratio: number | null;
  lower: number | null;
  upper: number | null;
}

/**
 * Rate ratio wet over dry, within strata of solar hour and month, with an interval tempered by overdispersion.
 *
 * With p the share of wet hours in the stratum of each onset and k of n onsets wet, the ratio is the odds of k over
 * the odds of the mean share. The interval is that of a Jeffreys posterior whose counts are divided by the
 * overdispersion, so runs of dependent onsets do not count as independent ones.
 *
 * @param shares share of wet hours in each onset's stratum
 * @param wetOnsets how many of those onsets were wet
 */
export function stratifiedRatio(
  shares: readonly number[],
  wetOnsets: number,
  overdispersion: number,
  level = 0.95,
): StratifiedRatio {
  const n = shares.length;
  const mean = shares.reduce((sum, p) => sum + p, 0) / n;
  if (n === 0 || !(mean > 0) || !(mean < 1)) return { ratio: null, lower: null, upper: null };
  const odds = (1 - mean) / mean;
  const a = wetOnsets / overdispersion + 0.5;
  const b = (n - wetOnsets) / overdispersion + 0.5;
  const tail = (1 - level) / 2;
  const at = (q: number) => (q < 1 ? (q / (1 - q)) * odds : null);
  return {
    ratio: wetOnsets === n ? null : (wetOnsets / (n - wetOnsets)) * odds,
    lower: at(betaQuantile(tail, a, b)),
    upper: wetOnsets === n ? null : at(betaQuantile(1 - tail, a, b)),
  };
}
