import { CAUSES } from "../core/records.ts";
import { logBeta } from "../core/statistics.ts";
import { BONDING_MASK, CONFIGURATIONS } from "./configurations.ts";
import type { EventPhase, EventSummary, Signature } from "./event-summary.ts";
import { type ParameterValues, parameter, RATE_STATES } from "./parameters.ts";

/** Nodes of a five-point and a four-point standard normal, equally weighted quantile midpoints. */
const SEVERITY_NODES = [-1.28, -0.52, 0, 0.52, 1.28];
const BACKGROUND_NODES = [-1.15, -0.32, 0.32, 1.15];
/** Pseudo-counts of the shares of endings, signatures and lags: episodes of one site are alike. */
const SHARE_CONCENTRATION = 4;
const STATES = RATE_STATES.length;
const CAUSE_COUNT = CAUSES.length;
const BACKGROUND = CAUSE_COUNT;
/** Without a cause there is nothing whose severity could vary. */
const NO_SEVERITY = [1];
/** A product of more factors than this could run out of the range of a number. */
const LONGEST_PRODUCT = 200;

/** Numbers of the table that the event likelihood needs, gathered once a table. */
export interface EventRates {
  /** Onsets per unit-hour: row a cause (background last), column a state. */
  rates: Float64Array;
  share: Record<"clears" | "several" | "late" | "dawn", Float64Array>;
  severity: number[];
  background: number[];
  /** Chance that a bonding defect is silent: nothing leaks onto the metal it leaves loose. */
  silentBond: number;
}

export function eventRates(values: ParameterValues, detectorFactor: number): EventRates {
  const names = [...CAUSES, "background"];
  const rates = new Float64Array(names.length * STATES);
  names.forEach((name, c) => {
    RATE_STATES.forEach((state, j) => {
      rates[c * STATES + j] = (parameter(values, `rate.${name}.${state}`) / 1000) * detectorFactor;
    });
  });
  const shares = (kind: string) => Float64Array.from(names, (name) => parameter(values, `${kind}.${name}`));
  const sd = parameter(values, "severity.spread");
  const bg = parameter(values, "background.spread");
  return {
    rates,
    share: { clears: shares("clears"), several: shares("several"), late: shares("late"), dawn: shares("dawn") },
    severity: SEVERITY_NODES.map((z) => Math.exp(sd * z)),
    background: BACKGROUND_NODES.map((z) => Math.exp(bg * z)),
    silentBond: parameter(values, "silent.bonding"),
  };
}

/**
 * Log-likelihood of the counts of onsets under each configuration: onsets are Poisson in every state, the rates of the
 * causes present add to a background, and both a common severity and the background are averaged over. Tempered by the
 * overdispersion, because onsets of one site come in runs.
 *
 * A cause sits in one of the site's units, so it sees that unit's share of the hours; the background sees all.
 * In a phase before a repair, what the repair removed was there too.
 */
export function countLikelihood(
  summary: EventSummary,
  rates: EventRates,
  presentBefore: number,
  overdispersion: number,
): Float64Array {
  const out = new Float64Array(CONFIGURATIONS.length);
  for (const phase of summary.phases) {
    const certain = maskOf(phase, "yes");
    const perhaps = maskOf(phase, "no") & ~certain;
    const poisson = phasePoisson(phase, rates, summary.units);
    for (let k = 0; k < out.length; k++) {
      const mask = (CONFIGURATIONS[k] as number) | certain;
      const value = perhaps ? logMix(presentBefore, poisson(mask | perhaps), poisson(mask)) : poisson(mask);
      out[k] = (out[k] as number) + value / overdispersion;
    }
  }
  return out;
}

/** ln of share e^a + (1 - share) e^b. */
function logMix(share: number, a: number, b: number): number {
  const top = Math.max(a, b);
  return top + Math.log(share * Math.exp(a - top) + (1 - share) * Math.exp(b - top));
}

function maskOf(phase: EventPhase, confirmed: "yes" | "no"): number {
  let mask = 0;
  for (const r of phase.removedLater) {
    if ((r.confirmed === "yes") === (confirmed === "yes")) mask |= 1 << CAUSES.indexOf(r.cause as never);
  }
  return mask;
}

/**
 * Log-likelihood of a phase by mask of the causes present. A bonding defect may be silent, so a log without trips is
 * weak evidence against one. Each mask is computed once: many configurations differ only in what is silent.
 */
function phasePoisson(phase: EventPhase, rates: EventRates, units: number): (mask: number) => number {
  const known = new Float64Array(1 << CAUSE_COUNT).fill(Number.NaN);
  const scratch = new Float64Array(rates.severity.length * rates.background.length);
  const active = (mask: number): number => {
    const before = known[mask] as number;
    if (!Number.isNaN(before)) return before;
    const value = activePoisson(phase, mask, rates, units, scratch);
    known[mask] = value;
    return value;
  };
  return (mask) =>
    mask & BONDING_MASK ? logMix(rates.silentBond, active(mask & ~BONDING_MASK), active(mask)) : active(mask);
}

function activePoisson(
  { unitHours, onsets }: EventPhase,
  mask: number,
  { rates, severity, background }: EventRates,
  units: number,
  terms: Float64Array,
): number {
  const severities = mask === 0 ? NO_SEVERITY : severity;
  const count = background.length * severities.length;
  terms.fill(0, 0, count);
  for (let j = 0; j < STATES; j++) {
    let own = 0;
    for (let c = 0; c < CAUSE_COUNT; c++) if (mask & (1 << c)) own += rates[c * STATES + j] as number;
    own /= units;
    const other = rates[BACKGROUND * STATES + j] as number;
    const hours = unitHours[j] as number;
    const k = onsets[j] as number;
    let i = 0;
    for (let b = 0; b < background.length; b++) {
      for (let s = 0; s < severities.length; s++, i++) {
        const rate = (background[b] as number) * other + (severities[s] as number) * own;
        terms[i] = (terms[i] as number) - rate * hours + (k > 0 ? k * Math.log(rate) : 0);
      }
    }
  }
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i++) if ((terms[i] as number) > top) top = terms[i] as number;
  let sum = 0;
  for (let i = 0; i < count; i++) sum += Math.exp((terms[i] as number) - top);
  return top + Math.log(sum / count);
}

/** A share that episodes have: how many of how many. */
export type ShareOf = (signature: Signature) => { hits: number; trials: number };

/**
 * Log-likelihood of a share of episodes (cleared on drying, several inverters at once, late after rain, at dawn) under
 * each configuration: beta-binomial around the mean of the causes present, weighted by how often each trips. In a phase
 * before a repair, what the repair is confirmed to have removed was present too.
 * @param weightStates states whose rates weigh the causes
 */
export function shareLikelihood(
  shareOf: ShareOf,
  kind: keyof EventRates["share"],
  summary: EventSummary,
  rates: EventRates,
  weightStates: readonly number[],
): Float64Array {
  const out = new Float64Array(CONFIGURATIONS.length);
  const share = rates.share[kind];
  for (const phase of summary.phases) {
    const { hits, trials } = shareOf(phase.signature);
    if (trials === 0) continue;
    const removed = maskOf(phase, "yes");
    const hours = (j: number) => Math.max(1, phase.unitHours[j] as number);
    const weights = Array.from({ length: CAUSES.length + 1 }, (_, c) => {
      const own = weightStates.reduce((sum, j) => sum + (rates.rates[c * STATES + j] as number) * hours(j), 0);
      return c === BACKGROUND ? own * summary.units : own;
    });
    for (let k = 0; k < out.length; k++) {
      const mask = (CONFIGURATIONS[k] as number) | removed;
      let total = weights[BACKGROUND] as number;
      let mean = total * (share[BACKGROUND] as number);
      for (let c = 0; c < CAUSE_COUNT; c++) {
        if (!(mask & (1 << c))) continue;
        total += weights[c] as number;
        mean += (weights[c] as number) * (share[c] as number);
      }
      out[k] = (out[k] as number) + betaBinomial(hits, trials, (SHARE_CONCENTRATION * mean) / total);
    }
  }
  return out;
}

/** ln B(hits + a, trials - hits + b) - ln B(a, b), a + b the concentration: a product of rising factors where short. */
function betaBinomial(hits: number, trials: number, a: number): number {
  const b = SHARE_CONCENTRATION - a;
  if (trials > LONGEST_PRODUCT) return logBeta(hits + a, trials - hits + b) - logBeta(a, b);
  let product = 1;
  for (let i = 0; i < hits; i++) product *= (a + i) / (SHARE_CONCENTRATION + i);
  for (let i = 0; i < trials - hits; i++) product *= (b + i) / (SHARE_CONCENTRATION + hits + i);
  return Math.log(product);
}

/** States in which water lies, for shares that speak of water. */
export const WATER_STATES: readonly number[] = [RATE_STATES.indexOf("rain"), RATE_STATES.indexOf("dew")];
export const RAIN_STATES: readonly number[] = [RATE_STATES.indexOf("rain")];
export const ALL_STATES: readonly number[] = RATE_STATES.map((_, i) => i);
