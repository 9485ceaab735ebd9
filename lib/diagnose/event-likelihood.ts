import { CAUSES } from "../core/records.ts";
import { logBeta, logSumExp } from "../core/statistics.ts";
import { BONDING_MASK, CONFIGURATIONS } from "./configurations.ts";
import type { EventPhase, EventSummary, Signature } from "./event-summary.ts";
import { type ParameterValues, parameter, RATE_STATES } from "./parameters.ts";

/** Nodes of a five-point and a four-point standard normal, equally weighted quantile midpoints. */
const SEVERITY_NODES = [-1.28, -0.52, 0, 0.52, 1.28];
const BACKGROUND_NODES = [-1.15, -0.32, 0.32, 1.15];
/** Pseudo-counts of the shares of endings, signatures and lags: episodes of one site are alike. */
const SHARE_CONCENTRATION = 4;
const STATES = RATE_STATES.length;
const BACKGROUND = CAUSES.length;

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
    CONFIGURATIONS.forEach((mask, k) => {
      const withCertain = poisson(phase, mask | certain, rates, summary.units);
      const value = perhaps
        ? logSumExp([
            Math.log(1 - presentBefore) + withCertain,
            Math.log(presentBefore) + poisson(phase, mask | certain | perhaps, rates, summary.units),
          ])
        : withCertain;
      out[k] = (out[k] as number) + value / overdispersion;
    });
  }
  return out;
}

function maskOf(phase: EventPhase, confirmed: "yes" | "no"): number {
  let mask = 0;
  for (const r of phase.removedLater) {
    if ((r.confirmed === "yes") === (confirmed === "yes")) mask |= 1 << CAUSES.indexOf(r.cause as never);
  }
  return mask;
}

/** A bonding defect may be silent, so a log without trips is weak evidence against one. */
function poisson(phase: EventPhase, mask: number, rates: EventRates, units: number): number {
  const active = activePoisson(phase, mask, rates, units);
  if (!(mask & BONDING_MASK)) return active;
  const silent = activePoisson(phase, mask & ~BONDING_MASK, rates, units);
  return logSumExp([Math.log(1 - rates.silentBond) + active, Math.log(rates.silentBond) + silent]);
}

function activePoisson(
  { unitHours, onsets }: EventPhase,
  mask: number,
  { rates, severity, background }: EventRates,
  units: number,
): number {
  const causeRate = new Float64Array(STATES);
  for (let c = 0; c < CAUSES.length; c++) {
    if (!(mask & (1 << c))) continue;
    for (let j = 0; j < STATES; j++)
      causeRate[j] = (causeRate[j] as number) + (rates[c * STATES + j] as number) / units;
  }
  const severities = mask === 0 ? [1] : severity;
  const terms: number[] = [];
  for (const b of background) {
    for (const s of severities) {
      let sum = 0;
      for (let j = 0; j < STATES; j++) {
        const hours = unitHours[j] as number;
        const rate = b * (rates[BACKGROUND * STATES + j] as number) + s * (causeRate[j] as number);
        sum += (onsets[j] as number) * Math.log(rate) - rate * hours;
      }
      terms.push(sum);
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
    CONFIGURATIONS.forEach((mask, k) => {
      let total = weights[BACKGROUND] as number;
      let mean = total * (share[BACKGROUND] as number);
      for (let c = 0; c < CAUSES.length; c++) {
        if (!((mask | removed) & (1 << c))) continue;
        total += weights[c] as number;
        mean += (weights[c] as number) * (share[c] as number);
      }
      const a = (SHARE_CONCENTRATION * mean) / total;
      const b = SHARE_CONCENTRATION - a;
      out[k] = (out[k] as number) + logBeta(hits + a, trials - hits + b) - logBeta(a, b);
    });
  }
  return out;
}

/** States in which water lies, for shares that speak of water. */
export const WATER_STATES: readonly number[] = [RATE_STATES.indexOf("rain"), RATE_STATES.indexOf("dew")];
export const RAIN_STATES: readonly number[] = [RATE_STATES.indexOf("rain")];
export const ALL_STATES: readonly number[] = RATE_STATES.map((_, i) => i);
