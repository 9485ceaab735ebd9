import { CAUSES, type Cause } from "../core/records.ts";
import { expit, logit, normalQuantile, sampleQuantile } from "../core/statistics.ts";
import { BONDING_MASK, CONFIGURATIONS, EVERY_CONFIGURATION, MEMBERS } from "./configurations.ts";

/** Kept off the ends, where odds would be infinite: the model is never that sure. */
const offTheEnds = (p: number): number => Math.min(1 - 1e-9, Math.max(1e-9, p));

/** Probability of each cause by its name, off the ends. */
export function causesOf(posterior: Float64Array): Record<Cause, number> {
  const masses = causeMasses(posterior);
  return Object.fromEntries(CAUSES.map((c, i) => [c, offTheEnds(masses[i] as number)])) as Record<Cause, number>;
}

/** Probability of each cause in the order of CAUSES, as it adds up: nothing keeps it off 0 and 1. */
export function causeMasses(posterior: Float64Array, only: Int32Array = EVERY_CONFIGURATION): Float64Array {
  const out = new Float64Array(CAUSES.length);
  for (let i = 0; i < only.length; i++) {
    const k = only[i] as number;
    const members = MEMBERS[k] as readonly number[];
    for (let m = 0; m < members.length; m++) {
      const c = members[m] as number;
      out[c] = (out[c] as number) + (posterior[k] as number);
    }
  }
  return out;
}

const WITH_BONDING = EVERY_CONFIGURATION.filter((k) => (CONFIGURATIONS[k] as number) & BONDING_MASK);
const WITHOUT_BONDING = EVERY_CONFIGURATION.filter((k) => !((CONFIGURATIONS[k] as number) & BONDING_MASK));

export function logOddsOf(logs: Float64Array): number {
  return logSumOver(logs, WITH_BONDING) - logSumOver(logs, WITHOUT_BONDING);
}

function logSumOver(logs: Float64Array, only: Int32Array): number {
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < only.length; i++) top = Math.max(top, logs[only[i] as number] as number);
  if (top === Number.NEGATIVE_INFINITY) return top;
  let sum = 0;
  for (let i = 0; i < only.length; i++) sum += Math.exp((logs[only[i] as number] as number) - top);
  return top + Math.log(sum);
}

/** Probabilities of some configurations from their logs; in a new array the others have none. */
export function normalised(
  logs: Float64Array,
  only: Int32Array,
  out: Float64Array = new Float64Array(logs.length),
): Float64Array {
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < only.length; i++) top = Math.max(top, logs[only[i] as number] as number);
  let total = 0;
  for (let i = 0; i < only.length; i++) {
    const share = Math.exp((logs[only[i] as number] as number) - top);
    out[only[i] as number] = share;
    total += share;
  }
  for (let i = 0; i < only.length; i++) out[only[i] as number] = (out[only[i] as number] as number) / total;
  return out;
}

const MASKS = Int32Array.from(CONFIGURATIONS);

/** Probability that any cause of the mask is present, off the ends. */
export function massOf(posterior: Float64Array, mask: number, only: Int32Array = EVERY_CONFIGURATION): number {
  let sum = 0;
  for (let i = 0; i < only.length; i++) {
    const k = only[i] as number;
    if ((MASKS[k] as number) & mask) sum += posterior[k] as number;
  }
  return offTheEnds(sum);
}

/** Standard normal quantile of 95 %. */
const Z95 = normalQuantile(0.95);

/**
 * 5 % and 95 % points of a belief under drawn tables; the point itself is never outside. Many rows add to its log odds, so
 * these are near to normal over the draws, and their mean and spread tell the points as well from half as many draws as
 * sorting them would. Where a draw is certain they have no log odds, and the draws are sorted.
 */
export function band(p: number, draws: readonly number[]): { p: number; low: number; high: number } {
  if (draws.length < 2) return { p, low: p, high: p };
  let mean = 0;
  for (const draw of draws) mean += logit(draw) / draws.length;
  if (!Number.isFinite(mean))
    return { p, low: Math.min(p, sampleQuantile(draws, 0.05)), high: Math.max(p, sampleQuantile(draws, 0.95)) };
  let squares = 0;
  for (const draw of draws) squares += (logit(draw) - mean) ** 2;
  const off = Z95 * Math.sqrt(squares / (draws.length - 1));
  return { p, low: Math.min(p, expit(mean - off)), high: Math.max(p, expit(mean + off)) };
}

export const added = (a: Float64Array, b: Float64Array): Float64Array => a.map((x, i) => x + (b[i] as number));
export const minus = (a: Float64Array, b: Float64Array): Float64Array => a.map((x, i) => x - (b[i] as number));
export function sumOf(logs: readonly Float64Array[]): Float64Array {
  const out = new Float64Array(CONFIGURATIONS.length);
  for (const log of logs) for (let k = 0; k < out.length; k++) out[k] = (out[k] as number) + (log[k] as number);
  return out;
}
