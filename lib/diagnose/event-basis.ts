import type { Cause } from "../core/records.ts";

/** Phase of a log as learning needs it: counts, and what a later repair removed. */
export interface BasisPhase {
  /** Unit-hours at risk and onsets by state, in the order of RATE_STATES. */
  unitHours: readonly number[];
  onsets: readonly number[];
  /** Causes that a later repair is confirmed to have removed: they were there in this phase. */
  certain: readonly Cause[];
}

/**
 * What a score was computed from, as far as the rates of onsets can be learned from it: the counts, and what everything
 * else said of each configuration.
 */
export interface EventBasis {
  units: number;
  /** Share of faults that the site's detectors see. */
  detector: number;
  overdispersion: number;
  phases: readonly BasisPhase[];
  /** Log weight of each configuration from all evidence but the counts, up to a constant. */
  elsewhere: Float64Array;
}

const STEP_NATS = 0.25;

/**
 * Log weights in one byte each: a quarter of a nat below the largest a step, down to 64 below.
 * @returns base64
 */
export function packLogWeights(logs: Float64Array): string {
  const top = logs.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  let text = "";
  for (const x of logs) text += String.fromCharCode(Math.min(255, Math.round((top - x) / STEP_NATS)));
  return btoa(text);
}

export function unpackLogWeights(packed: string): Float64Array {
  const text = atob(packed);
  return Float64Array.from({ length: text.length }, (_, i) => -STEP_NATS * text.charCodeAt(i));
}
