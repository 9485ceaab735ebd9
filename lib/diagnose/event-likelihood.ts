import { CAUSES } from "../core/records.ts";
import { logBeta, logSumExp } from "../core/statistics.ts";
import { BONDING_MASK, CONFIGURATIONS, EVERY_CONFIGURATION } from "./configurations.ts";
import type { EventPhase, EventSummary, Signature } from "./event-summary.ts";
import { type ParameterValues, parameter, RATE_STATES } from "./parameters.ts";

/** Nodes of a five-point and a four-point standard normal, equally weighted quantile midpoints. */
export const SEVERITY_NODES = [-1.28, -0.52, 0, 0.52, 1.28];
export const BACKGROUND_NODES = [-1.15, -0.32, 0.32, 1.15];
/** Pseudo-counts of the shares of endings, signatures and lags: episodes of one site are alike. */
const SHARE_CONCENTRATION = 4;
const STATES = RATE_STATES.length;
const CAUSE_COUNT = CAUSES.length;
const BACKGROUND = CAUSE_COUNT;
const BONDING = BONDING_MASK;
/** Bits of every configuration, at hand for the innermost loops. */
const MASKS = Int32Array.from(CONFIGURATIONS);
/** A product below this has lost digits, and logarithms take its place. */
const SMALLEST_PRODUCT = 1e-250;
/** A product of more factors than this could run out of the range of a number. */
const LONGEST_PRODUCT = 200;
const RISING_INVERSE = Float64Array.from({ length: LONGEST_PRODUCT + 1 }, (_, i) => 1 / (SHARE_CONCENTRATION + i));

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

/** Keys are joined once: a table is read for every draw of every site. */
const NAMES = [...CAUSES, "background"];
const RATE_KEYS = NAMES.flatMap((name) => RATE_STATES.map((state) => `rate.${name}.${state}`));
const shareKeys = (kind: string) => NAMES.map((name) => `${kind}.${name}`);
const SHARE_KEYS: Record<keyof EventRates["share"], string[]> = {
  clears: shareKeys("clears"),
  several: shareKeys("several"),
  late: shareKeys("late"),
  dawn: shareKeys("dawn"),
};

export function eventRates(values: ParameterValues): EventRates {
  const rates = Float64Array.from(RATE_KEYS, (key) => parameter(values, key) / 1000);
  const shares = (kind: keyof EventRates["share"]) =>
    Float64Array.from(SHARE_KEYS[kind], (key) => parameter(values, key));
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
 *
 * @param how.presentBefore chance that what a repair is not confirmed to have removed was there before it
 * @param how.overdispersion variance over mean of the counts, at least 1
 * @param how.detector share of faults that the site's detectors see; it scales every rate, so it scales the hours
 * @param only configurations to compute; the others stay 0
 */
export function countLikelihood(
  summary: EventSummary,
  rates: EventRates,
  how: { presentBefore: number; overdispersion: number; detector: number },
  only: Int32Array = EVERY_CONFIGURATION,
): Float64Array {
  const out = new Float64Array(MASKS.length);
  for (const { unitHours, ...phase } of summary.phases) {
    const certain = maskOf(phase, "yes");
    const perhaps = maskOf(phase, "no") & ~certain;
    const seen = { ...phase, unitHours: unitHours.map((h) => h * how.detector) };
    const poisson = phasePoisson(seen, rates, summary.units);
    for (let i = 0; i < only.length; i++) {
      const k = only[i] as number;
      const mask = (MASKS[k] as number) | certain;
      const value = perhaps ? logMix(how.presentBefore, poisson(mask | perhaps), poisson(mask)) : poisson(mask);
      out[k] = (out[k] as number) + value / how.overdispersion;
    }
  }
  return out;
}

/** ln of share e^a + (1 - share) e^b. */
function logMix(share: number, a: number, b: number): number {
  const top = Math.max(a, b);
  return top + Math.log(share * Math.exp(a - top) + (1 - share) * Math.exp(b - top));
}

function maskOf(phase: Pick<EventPhase, "removedLater">, confirmed: "yes" | "no"): number {
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
  const factors = phaseFactors(phase, rates, units);
  const active = (mask: number): number => {
    const before = known[mask] as number;
    if (!Number.isNaN(before)) return before;
    const product = productPoisson(factors, mask, rates.severity);
    const value = product ?? activePoisson(phase, mask, rates, units);
    known[mask] = value;
    return value;
  };
  return (mask) => (mask & BONDING ? logMix(rates.silentBond, active(mask & ~BONDING), active(mask)) : active(mask));
}

/** What every mask of a phase shares: chances of no onset, and rates in units that keep their powers near one. */
interface PhaseFactors {
  /** exp(-expected onsets): by background node, and by cause (row) and severity node. */
  quietBackground: Float64Array;
  quietCause: Float64Array;
  /** Of the states that had onsets: how many; rates in units of the reference, of the background by node, of causes. */
  onsets: Int32Array;
  background: Float64Array;
  cause: Float64Array;
  /** Room for the rates of one mask. */
  own: Float64Array;
  logReference: number;
}

function phaseFactors(phase: EventPhase, { rates, severity, background }: EventRates, units: number): PhaseFactors {
  const expected = (c: number) => {
    let sum = 0;
    for (let j = 0; j < STATES; j++) sum += (rates[c * STATES + j] as number) * (phase.unitHours[j] as number);
    return sum;
  };
  const quietCause = new Float64Array(CAUSE_COUNT * severity.length);
  for (let c = 0; c < CAUSE_COUNT; c++) {
    const own = expected(c) / units;
    for (let s = 0; s < severity.length; s++)
      quietCause[c * severity.length + s] = Math.exp(-(severity[s] as number) * own);
  }
  const all = expected(BACKGROUND);
  const seen = ALL_STATES.filter((j) => (phase.onsets[j] as number) > 0);
  // With this reference the likeliest rate gives a factor of one, so products stay within the range of a number.
  const reference = seen.map((j) => (phase.onsets[j] as number) / (Math.E * Math.max(1, phase.unitHours[j] as number)));
  const scaled = (c: number, i: number) =>
    (rates[c * STATES + (seen[i] as number)] as number) / (reference[i] as number);
  return {
    quietBackground: Float64Array.from(background, (b) => Math.exp(-b * all)),
    quietCause,
    onsets: Int32Array.from(seen, (j) => phase.onsets[j] as number),
    background: Float64Array.from(seen.flatMap((_, i) => background.map((b) => b * scaled(BACKGROUND, i)))),
    cause: Float64Array.from(seen.flatMap((_, i) => CAUSES.map((_, c) => scaled(c, i) / units))),
    own: new Float64Array(seen.length),
    logReference: seen.reduce((sum, j, i) => sum + (phase.onsets[j] as number) * Math.log(reference[i] as number), 0),
  };
}

/** The same as activePoisson by products, without a logarithm an hour-state; null where they leave the range. */
function productPoisson(factors: PhaseFactors, mask: number, severity: readonly number[]): number | null {
  const { quietBackground, quietCause, background, cause, onsets, own } = factors;
  const nodes = quietBackground.length;
  own.fill(0);
  for (let c = 0; c < CAUSE_COUNT; c++) {
    if (!(mask & (1 << c))) continue;
    for (let i = 0; i < own.length; i++) own[i] = (own[i] as number) + (cause[i * CAUSE_COUNT + c] as number);
  }
  let sum = 0;
  for (let s = 0; s < severity.length; s++) {
    const severe = severity[s] as number;
    let quiet = 1;
    for (let c = 0; c < CAUSE_COUNT; c++) if (mask & (1 << c)) quiet *= quietCause[c * severity.length + s] as number;
    for (let b = 0; b < nodes; b++) {
      let term = quiet * (quietBackground[b] as number);
      for (let i = 0; i < own.length; i++) {
        const rate = (background[i * nodes + b] as number) + severe * (own[i] as number);
        term *= wholePower(rate, onsets[i] as number);
      }
      sum += term;
    }
  }
  if (!(sum > SMALLEST_PRODUCT && sum < Number.MAX_VALUE)) return null;
  return factors.logReference + Math.log(sum / (severity.length * nodes));
}

function wholePower(base: number, exponent: number): number {
  let out = 1;
  let square = base;
  for (let n = exponent; n > 0; n >>= 1) {
    if (n & 1) out *= square;
    square *= square;
  }
  return out;
}

function activePoisson(
  { unitHours, onsets }: EventPhase,
  mask: number,
  { rates, severity, background }: EventRates,
  units: number,
): number {
  const terms: number[] = [];
  for (const b of background) {
    for (const s of severity) {
      let term = 0;
      for (let j = 0; j < STATES; j++) {
        let own = 0;
        for (let c = 0; c < CAUSE_COUNT; c++) if (mask & (1 << c)) own += rates[c * STATES + j] as number;
        const rate = b * (rates[BACKGROUND * STATES + j] as number) + (s * own) / units;
        const k = onsets[j] as number;
        term += (k > 0 ? k * Math.log(rate) : 0) - rate * (unitHours[j] as number);
      }
      terms.push(term);
    }
  }
  return logSumExp(terms) - Math.log(terms.length);
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
  only: Int32Array = EVERY_CONFIGURATION,
): Float64Array {
  const out = new Float64Array(MASKS.length);
  const share = rates.share[kind];
  for (const phase of summary.phases) {
    const { hits, trials } = shareOf(phase.signature);
    if (trials === 0) continue;
    const removed = maskOf(phase, "yes");
    const weights = new Float64Array(CAUSE_COUNT + 1);
    for (let c = 0; c <= CAUSE_COUNT; c++) {
      let own = 0;
      for (const j of weightStates)
        own += (rates.rates[c * STATES + j] as number) * Math.max(1, phase.unitHours[j] as number);
      weights[c] = c === BACKGROUND ? own * summary.units : own;
    }
    for (let i = 0; i < only.length; i++) {
      const k = only[i] as number;
      const mask = (MASKS[k] as number) | removed;
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
  for (let i = 0; i < hits; i++) product *= (a + i) * (RISING_INVERSE[i] as number);
  for (let i = 0; i < trials - hits; i++) product *= (b + i) * (RISING_INVERSE[hits + i] as number);
  return Math.log(product);
}

/** States in which water lies, for shares that speak of water. */
export const WATER_STATES: readonly number[] = [RATE_STATES.indexOf("rain"), RATE_STATES.indexOf("dew")];
export const RAIN_STATES: readonly number[] = [RATE_STATES.indexOf("rain")];
export const ALL_STATES: readonly number[] = RATE_STATES.map((_, i) => i);
