import type { Instant, LocalDay } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";

/**
 * From which probability of a defect on the model counts as suspecting one.
 * Engineering judgement: more likely than not. No published source.
 */
export const SUSPICION_PROBABILITY = 0.5;

/** The model's suspicion. It is not a discovery: only a person makes one. */
export interface Suspicion {
  /** First site-local day of the unbroken run of scores at or above the threshold that reaches to now. */
  since: LocalDay;
  /** The run begins with the first score on file: the suspicion may be older. */
  atFirstScore: boolean;
  /** Newest score of that run. */
  p: number;
  low: number;
  high: number;
}

/**
 * Since when the model suspects a defect without a break.
 * @param history scores of one site, oldest first
 * @returns null when the newest score is below the threshold, or there is none
 */
export function suspectedSince(
  history: readonly { asOf: Instant; p: number; low: number; high: number }[],
  timeZone: string,
  threshold = SUSPICION_PROBABILITY,
): Suspicion | null {
  const newest = history.at(-1);
  if (!newest || newest.p < threshold) return null;
  let first = history.length - 1;
  while (first > 0 && (history[first - 1]?.p ?? 0) >= threshold) first--;
  const { p, low, high } = newest;
  return {
    since: localDay((history[first] as { asOf: Instant }).asOf, timeZone),
    atFirstScore: first === 0,
    p,
    low,
    high,
  };
}
