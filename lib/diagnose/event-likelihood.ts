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
const SEVERITIES = SEVERITY_NODES.length;
const BACKGROUNDS = BACKGROUND_NODES.length;
/** Places in CAUSES of the bits of every mask. */
const BITS: readonly Uint8Array[] = Array.from({ length: 1 << CAUSE_COUNT }, (_, mask) =>
  Uint8Array.from(CAUSES.map((_c, i) => i).filter((i) => mask & (1 << i))),
);
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
  /** Chance that what a repair is not confirmed to have removed was there before it; least variance over mean of counts. */
  presentBefore: number;
  overdispersion: number;
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
    presentBefore: parameter(values, "repair.presentBefore"),
    overdispersion: parameter(values, "events.overdispersion"),
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
 * @param out room for the answer, which is returned: an answer is needed for every draw of every site
 */
export function countLikelihood(
  summary: EventSummary,
  rates: EventRates,
  how: { presentBefore: number; overdispersion: number; detector: number },
  only: Int32Array = EVERY_CONFIGURATION,
  out: Float64Array = new Float64Array(MASKS.length),
): Float64Array {
  out.fill(0);
  for (const phase of summary.phases) {
    const certain = maskOf(phase, "yes");
    const perhaps = maskOf(phase, "no") & ~certain;
    POISSON.begin(phase, rates, summary.units, how.detector);
    for (let i = 0; i < only.length; i++) {
      const k = only[i] as number;
      const mask = (MASKS[k] as number) | certain;
      const value = perhaps
        ? logMix(how.presentBefore, POISSON.ofMask(mask | perhaps), POISSON.ofMask(mask))
        : POISSON.ofMask(mask);
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
  if (phase.removedLater.length === 0) return mask;
  for (const r of phase.removedLater) {
    if ((r.confirmed === "yes") === (confirmed === "yes")) mask |= 1 << CAUSES.indexOf(r.cause as never);
  }
  return mask;
}

/**
 * Log-likelihood of a phase by mask of the causes present. A bonding defect may be silent, so a log without trips is
 * weak evidence against one. Each mask is computed once: many configurations differ only in what is silent.
 *
 * What a phase and a table make of each cause is worked out once: chances of no onset, and rates in units that keep their
 * powers near one. One of these serves all phases of all draws, one after the other, so that nothing is made anew.
 */
class PhasePoisson {
  readonly #known = new Float64Array(1 << CAUSE_COUNT);
  /** Sums of products by mask; 0: they left the range of a number. */
  readonly #sums = new Float64Array(1 << CAUSE_COUNT);
  /** exp(-expected onsets): by background node, and by cause (row) and severity node. */
  readonly #quietBackground = new Float64Array(BACKGROUNDS);
  readonly #quietCause = new Float64Array(CAUSE_COUNT * SEVERITIES);
  readonly #unitHours = new Float64Array(STATES);
  /** Of the states that had onsets: how many; rates in units of the reference, of the background by node, of causes. */
  #seen = 0;
  readonly #onsets = new Int32Array(STATES);
  readonly #background = new Float64Array(STATES * BACKGROUNDS);
  readonly #cause = new Float64Array(STATES * CAUSE_COUNT);
  /** Room for the rates of one mask. */
  readonly #own = new Float64Array(STATES);
  #logReference = 0;
  #phase: EventPhase | null = null;
  #rates: EventRates | null = null;
  #units = 1;

  begin(phase: EventPhase, all: EventRates, units: number, detector: number): void {
    const { rates, severity, background } = all;
    this.#phase = phase;
    this.#rates = all;
    this.#units = units;
    this.#known.fill(Number.NaN);
    this.#sums.fill(Number.NaN);
    for (let j = 0; j < STATES; j++) this.#unitHours[j] = (phase.unitHours[j] as number) * detector;
    for (let c = 0; c < CAUSE_COUNT; c++) {
      const own = this.#expected(c, rates) / units;
      for (let s = 0; s < SEVERITIES; s++)
        this.#quietCause[c * SEVERITIES + s] = Math.exp(-(severity[s] as number) * own);
    }
    const expected = this.#expected(BACKGROUND, rates);
    for (let b = 0; b < BACKGROUNDS; b++) this.#quietBackground[b] = Math.exp(-(background[b] as number) * expected);
    this.#seen = 0;
    this.#logReference = 0;
    for (let j = 0; j < STATES; j++) {
      const onsets = phase.onsets[j] as number;
      if (!(onsets > 0)) continue;
      const i = this.#seen++;
      // With this reference the likeliest rate gives a factor of one, so products stay within the range of a number.
      const reference = onsets / (Math.E * Math.max(1, this.#unitHours[j] as number));
      this.#onsets[i] = onsets;
      this.#logReference += onsets * Math.log(reference);
      const scaled = (rates[BACKGROUND * STATES + j] as number) / reference;
      for (let b = 0; b < BACKGROUNDS; b++) this.#background[i * BACKGROUNDS + b] = (background[b] as number) * scaled;
      for (let c = 0; c < CAUSE_COUNT; c++)
        this.#cause[i * CAUSE_COUNT + c] = (rates[c * STATES + j] as number) / reference / units;
    }
  }

  #expected(c: number, rates: Float64Array): number {
    let sum = 0;
    for (let j = 0; j < STATES; j++) sum += (rates[c * STATES + j] as number) * (this.#unitHours[j] as number);
    return sum;
  }

  ofMask(mask: number): number {
    const before = this.#known[mask] as number;
    if (!Number.isNaN(before)) return before;
    const value = mask & BONDING ? this.#perhapsSilent(mask) : this.#active(mask, this.#sumOf(mask));
    this.#known[mask] = value;
    return value;
  }

  /** Mixed before a logarithm is taken, where both sums have one. */
  #perhapsSilent(mask: number): number {
    const { silentBond } = this.#rates as EventRates;
    const silent = this.#sumOf(mask & ~BONDING);
    const loud = this.#sumOf(mask);
    if (silent > 0 && loud > 0)
      return (
        this.#logReference + Math.log((silentBond * silent + (1 - silentBond) * loud) / (SEVERITIES * BACKGROUNDS))
      );
    return logMix(silentBond, this.#active(mask & ~BONDING, silent), this.#active(mask, loud));
  }

  #active(mask: number, sum: number): number {
    if (sum > 0) return this.#logReference + Math.log(sum / (SEVERITIES * BACKGROUNDS));
    return activePoisson(
      this.#unitHours,
      (this.#phase as EventPhase).onsets,
      mask,
      this.#rates as EventRates,
      this.#units,
    );
  }

  /** Where products leave the range of a number, or have lost digits, logarithms take their place: 0. */
  #sumOf(mask: number): number {
    const before = this.#sums[mask] as number;
    if (!Number.isNaN(before)) return before;
    const sum = this.#productSum(mask, (this.#rates as EventRates).severity);
    const value = sum > SMALLEST_PRODUCT && sum < Number.MAX_VALUE ? sum : 0;
    this.#sums[mask] = value;
    return value;
  }

  /** The same as activePoisson by products, without a logarithm an hour-state. */
  #productSum(mask: number, severity: readonly number[]): number {
    const bits = BITS[mask] as Uint8Array;
    const seen = this.#seen;
    const own = this.#own;
    for (let i = 0; i < seen; i++) {
      let rate = 0;
      for (let m = 0; m < bits.length; m++) rate += this.#cause[i * CAUSE_COUNT + (bits[m] as number)] as number;
      own[i] = rate;
    }
    let sum = 0;
    for (let s = 0; s < SEVERITIES; s++) {
      const severe = severity[s] as number;
      let quiet = 1;
      for (let m = 0; m < bits.length; m++) quiet *= this.#quietCause[(bits[m] as number) * SEVERITIES + s] as number;
      for (let b = 0; b < BACKGROUNDS; b++) {
        let term = quiet * (this.#quietBackground[b] as number);
        for (let i = 0; i < seen; i++) {
          const rate = (this.#background[i * BACKGROUNDS + b] as number) + severe * (own[i] as number);
          term *= wholePower(rate, this.#onsets[i] as number);
        }
        sum += term;
      }
    }
    return sum;
  }
}

const POISSON = new PhasePoisson();

function wholePower(base: number, exponent: number): number {
  if (exponent === 1) return base;
  let out = 1;
  let square = base;
  for (let n = exponent; ; ) {
    if (n & 1) out *= square;
    n >>= 1;
    if (n === 0) return out;
    square *= square;
  }
}

function activePoisson(
  unitHours: Float64Array,
  onsets: Float64Array,
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
  out: Float64Array = new Float64Array(MASKS.length),
): Float64Array {
  out.fill(0);
  const share = rates.share[kind];
  for (const phase of summary.phases) {
    const { hits, trials } = shareOf(phase.signature);
    if (trials === 0) continue;
    const removed = maskOf(phase, "yes");
    for (let c = 0; c <= CAUSE_COUNT; c++) {
      let own = 0;
      for (let i = 0; i < weightStates.length; i++) {
        const j = weightStates[i] as number;
        own += (rates.rates[c * STATES + j] as number) * Math.max(1, phase.unitHours[j] as number);
      }
      WEIGHTS[c] = c === BACKGROUND ? own * summary.units : own;
    }
    for (let i = 0; i < only.length; i++) {
      const k = only[i] as number;
      const bits = BITS[(MASKS[k] as number) | removed] as Uint8Array;
      let total = WEIGHTS[BACKGROUND] as number;
      let mean = total * (share[BACKGROUND] as number);
      for (let m = 0; m < bits.length; m++) {
        const c = bits[m] as number;
        total += WEIGHTS[c] as number;
        mean += (WEIGHTS[c] as number) * (share[c] as number);
      }
      out[k] = (out[k] as number) + betaBinomial(hits, trials, (SHARE_CONCENTRATION * mean) / total);
    }
  }
  return out;
}

/** How often each cause trips, the background last, within one phase of one draw. */
const WEIGHTS = new Float64Array(CAUSE_COUNT + 1);

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
