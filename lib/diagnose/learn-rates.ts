import { CholeskyDecomposition, Matrix } from "ml-matrix";
import { CAUSES } from "../core/records.ts";
import { BONDING_MASK, CONFIGURATIONS } from "./configurations.ts";
import type { EventBasis } from "./event-basis.ts";
import { BACKGROUND_NODES, SEVERITY_NODES } from "./event-likelihood.ts";
import type { VisitOutcome } from "./learning.ts";
import { type ParameterRow, type ParameterTable, parameter, RATE_STATES, valuesOf } from "./parameters.ts";

/** A confirmed visit with what the statement before it had been computed from. */
export interface CountedOutcome {
  outcome: Pick<VisitOutcome, "found" | "lookedFor">;
  basis: EventBasis;
}

/** Chance that a cause which is there is not found by somebody who looks for it, and of one confirmed that is not. Judgement. */
const OVERLOOKED = 0.15;
const MISTAKEN = 0.02;
/** Configurations this far below the likeliest, in nats, before and after the outcome, cannot matter to it. */
const NEGLIGIBLE_NATS = 9;
const MOST_ROUNDS = 12;
/** A log rate that moves less is left as it was: nothing a site shows would. */
const LEAST_MOVE = 0.02;
/** A round that gains less, in nats over all outcomes, ends the search. */
const SETTLED = 0.02;
const STATES = RATE_STATES.length;
const CAUSE_COUNT = CAUSES.length;
const SIZE = (CAUSE_COUNT + 1) * STATES;
const KEYS = [...CAUSES, "background"].flatMap((name) => RATE_STATES.map((state) => `rate.${name}.${state}`));

/**
 * Rates of onsets that make the confirmed outcomes likeliest, held to the table by its own spreads.
 *
 * Sites are visited because of their events, so counting events at visited sites would teach that every cause trips
 * often. Here only the outcome is explained, given the events that led to the visit: how the visit came about then
 * cancels.
 *
 * @param counted at most some hundreds; statements made with another table are fine, for the basis holds no rates
 * @returns rows `rate.*` that moved by 2 % or more, with the spread that is left; none without an outcome
 * @shape O(rounds x outcomes x configurations x nodes); deterministic
 */
export function learnRates(table: ParameterTable, counted: readonly CountedOutcome[]): ParameterRow[] {
  const rows = KEYS.map((key) => {
    const row = table.rows.find((r) => r.key === key);
    if (!row) throw new RangeError(`the parameter table has no row "${key}"`);
    return row;
  });
  const useful = counted.filter(({ outcome }) => outcome.lookedFor.length > 0);
  if (useful.length === 0) return [];
  const values = valuesOf(table);
  const fixed: Fixed = {
    silent: parameter(values, "silent.bonding"),
    severity: SEVERITY_NODES.map((z) => Math.exp(parameter(values, "severity.spread") * z)),
    background: BACKGROUND_NODES.map((z) => Math.exp(parameter(values, "background.spread") * z)),
  };
  const prior = Float64Array.from(rows, ({ spread }) => (spread > 0 ? 1 / spread ** 2 : Number.POSITIVE_INFINITY));
  const free = prior.map((x) => (Number.isFinite(x) ? 1 : 0));
  const start = Float64Array.from(rows, ({ value }) => Math.log(value / 1000));
  const weighed = useful.map((each) => weighedOutcome(each, start, fixed));
  const objective = (at: Float64Array) => {
    const found = slopes(weighed, at, fixed);
    for (let i = 0; i < SIZE; i++) {
      if (!free[i]) continue;
      const step = (at[i] as number) - (start[i] as number);
      found.value -= (prior[i] as number) * 0.5 * step * step;
      found.gradient[i] = (found.gradient[i] as number) - (prior[i] as number) * step;
    }
    return found;
  };
  let at = start;
  let here = objective(at);
  let curvature = information(here.each, prior, free);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const step = newtonStep(
      curvature,
      here.gradient.map((g, i) => (free[i] ? g : 0)),
    );
    let share = 1;
    let next = here;
    let moved = at;
    // A full step may overshoot where outcomes are few; half of it, and half again, cannot for ever.
    for (let half = 0; half < 8; half++, share /= 2) {
      moved = at.map((x, i) => x + share * (step[i] as number));
      next = objective(moved);
      if (next.value > here.value) break;
    }
    if (!(next.value > here.value)) break;
    const gain = next.value - here.value;
    at = moved;
    here = next;
    curvature = information(here.each, prior, free);
    if (gain < SETTLED) break;
  }
  return rows.flatMap((row, i) => {
    if (!free[i] || Math.abs((at[i] as number) - (start[i] as number)) < LEAST_MOVE) return [];
    const left = 1 / Math.sqrt(curvature[i * SIZE + i] as number);
    const source = `${row.provenance.source}; moved by ${useful.length} confirmed visits`;
    return [
      {
        ...row,
        value: 1000 * Math.exp(at[i] as number),
        spread: Math.min(row.spread, left),
        provenance: { kind: row.provenance.kind, source },
      },
    ];
  });
}

function newtonStep(curvature: Float64Array, gradient: Float64Array): number[] {
  const matrix = Matrix.from1DArray(SIZE, SIZE, curvature);
  return new CholeskyDecomposition(matrix).solve(Matrix.columnVector(gradient)).to1DArray();
}

interface Fixed {
  silent: number;
  severity: readonly number[];
  background: readonly number[];
}

interface WeighedOutcome {
  basis: EventBasis;
  /** Configurations that matter, and how likely the outcome is under each. */
  kept: readonly { k: number; weight: number }[];
}

function weighedOutcome({ basis, outcome }: CountedOutcome, logRates: Float64Array, fixed: Fixed): WeighedOutcome {
  const weights = outcomeWeights(outcome);
  const of = maskSlopes(basis, logRates.map(Math.exp), fixed);
  const far = highest(basis.elsewhere) - 2 * NEGLIGIBLE_NATS;
  const before = basis.elsewhere.map((x, k) =>
    x < far ? Number.NEGATIVE_INFINITY : x + of(CONFIGURATIONS[k] as number).log,
  );
  const after = before.map((x, k) => x + Math.log(weights[k] as number));
  const [least, leastAfter] = [highest(before) - NEGLIGIBLE_NATS, highest(after) - NEGLIGIBLE_NATS];
  const kept = CONFIGURATIONS.flatMap((_, k) =>
    (before[k] as number) >= least || (after[k] as number) >= leastAfter ? [{ k, weight: weights[k] as number }] : [],
  );
  return { basis, kept };
}

const highest = (logs: Float64Array): number => logs.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);

/** Log-likelihood of the outcomes with its slope by log rate, in all and outcome by outcome. */
function slopes(outcomes: readonly WeighedOutcome[], logRates: Float64Array, fixed: Fixed) {
  const rates = logRates.map(Math.exp);
  const gradient = new Float64Array(SIZE);
  const each: Float64Array[] = [];
  let value = 0;
  for (const outcome of outcomes) {
    const found = ofOutcome(outcome, rates, fixed);
    value += found.value;
    for (let i = 0; i < SIZE; i++) gradient[i] = (gradient[i] as number) + (found.gradient[i] as number);
    each.push(found.gradient);
  }
  return { value, gradient, each };
}

/** The information of the outcomes, by the outer product of their slopes, over that of the table itself. */
function information(each: readonly Float64Array[], prior: Float64Array, free: Float64Array): Float64Array {
  const out = new Float64Array(SIZE * SIZE);
  for (const g of each)
    for (let i = 0; i < SIZE; i++) {
      const gi = g[i] as number;
      if (gi === 0 || !free[i]) continue;
      for (let j = 0; j < SIZE; j++)
        if (free[j]) out[i * SIZE + j] = (out[i * SIZE + j] as number) + gi * (g[j] as number);
    }
  for (let i = 0; i < SIZE; i++) {
    const k = i * SIZE + i;
    out[k] = free[i] ? (out[k] as number) + (prior[i] as number) : 1;
  }
  return out;
}

/** How likely an outcome is under each configuration. */
function outcomeWeights({ found, lookedFor }: CountedOutcome["outcome"]): Float64Array {
  const looked = lookedFor.map((cause) => ({ bit: 1 << CAUSES.indexOf(cause), found: found.includes(cause) }));
  return Float64Array.from(CONFIGURATIONS, (mask) =>
    looked.reduce((p, { bit, found: was }) => {
      const there = (mask & bit) !== 0;
      if (was) return p * (there ? 1 - OVERLOOKED : MISTAKEN);
      return p * (there ? OVERLOOKED : 1 - MISTAKEN);
    }, 1),
  );
}

/** ln P(outcome | everything before it) of one visit, and its slope by log rate. */
function ofOutcome({ basis, kept }: WeighedOutcome, rates: Float64Array, fixed: Fixed) {
  const of = maskSlopes(basis, rates, fixed);
  const slopesOf = kept.map(({ k, weight }) => {
    const { log, gradient } = of(CONFIGURATIONS[k] as number);
    return { weight, log: (basis.elsewhere[k] as number) + log, gradient };
  });
  const top = slopesOf.reduce((a, { log }) => Math.max(a, log), Number.NEGATIVE_INFINITY);
  let all = 0;
  let agreeing = 0;
  for (const { log, weight } of slopesOf) {
    all += Math.exp(log - top);
    agreeing += Math.exp(log - top) * weight;
  }
  const gradient = new Float64Array(SIZE);
  for (const { log, weight, gradient: own } of slopesOf) {
    const share = Math.exp(log - top);
    const pull = (share * weight) / agreeing - share / all;
    for (let i = 0; i < SIZE; i++) gradient[i] = (gradient[i] as number) + pull * (own[i] as number);
  }
  return { value: Math.log(agreeing / all), gradient };
}

interface MaskSlope {
  log: number;
  gradient: Float64Array;
}

/** Tempered log-likelihood of a site's counts by mask of the causes present, with its slope by log rate. */
function maskSlopes(basis: EventBasis, rates: Float64Array, fixed: Fixed): (mask: number) => MaskSlope {
  const phases = basis.phases.map((phase) => {
    const certain = phase.certain.reduce((mask, c) => mask | (1 << CAUSES.indexOf(c)), 0);
    const known = new Map<number, MaskSlope>();
    const active = (mask: number): MaskSlope => {
      const before = known.get(mask);
      if (before) return before;
      const made = nodeMean(phase, mask, rates, basis, fixed);
      known.set(mask, made);
      return made;
    };
    return { certain, active };
  });
  return (mask) => {
    const gradient = new Float64Array(SIZE);
    let log = 0;
    for (const { certain, active } of phases) {
      const own = mixed(active, mask | certain, fixed.silent);
      log += own.log / basis.overdispersion;
      for (let i = 0; i < SIZE; i++)
        gradient[i] = (gradient[i] as number) + (own.gradient[i] as number) / basis.overdispersion;
    }
    return { log, gradient };
  };
}

/** A bonding defect may be silent: the mean of the log with and without what it would trip. */
function mixed(active: (mask: number) => MaskSlope, mask: number, silent: number): MaskSlope {
  const loud = active(mask);
  if (!(mask & BONDING_MASK)) return loud;
  const quiet = active(mask & ~BONDING_MASK);
  const top = Math.max(loud.log, quiet.log);
  const a = silent * Math.exp(quiet.log - top);
  const b = (1 - silent) * Math.exp(loud.log - top);
  const share = a / (a + b);
  return {
    log: top + Math.log(a + b),
    gradient: loud.gradient.map((g, i) => (1 - share) * g + share * (quiet.gradient[i] as number)),
  };
}

/** Mean over severity and background of the Poisson likelihood of one phase. */
function nodeMean(
  { unitHours, onsets }: EventBasis["phases"][number],
  mask: number,
  rates: Float64Array,
  { units, detector }: EventBasis,
  { severity, background }: Fixed,
): MaskSlope {
  const own = new Float64Array(STATES);
  for (let c = 0; c < CAUSE_COUNT; c++)
    if (mask & (1 << c))
      for (let j = 0; j < STATES; j++) own[j] = (own[j] as number) + (rates[c * STATES + j] as number) / units;
  const logs: number[] = [];
  for (const b of background)
    for (const s of severity) {
      let log = 0;
      for (let j = 0; j < STATES; j++) {
        const rate = b * (rates[CAUSE_COUNT * STATES + j] as number) + s * (own[j] as number);
        const k = onsets[j] as number;
        log += (k > 0 ? k * Math.log(rate) : 0) - rate * detector * (unitHours[j] as number);
      }
      logs.push(log);
    }
  const top = Math.max(...logs);
  const total = logs.reduce((sum, x) => sum + Math.exp(x - top), 0);
  // Pull on the background and on the causes, state by state, averaged over the nodes.
  const onBackground = new Float64Array(STATES);
  const onCauses = new Float64Array(STATES);
  let node = 0;
  for (const b of background)
    for (const s of severity) {
      const share = Math.exp((logs[node++] as number) - top) / total;
      for (let j = 0; j < STATES; j++) {
        const base = b * (rates[CAUSE_COUNT * STATES + j] as number);
        const rate = base + s * (own[j] as number);
        const pull = ((onsets[j] as number) / rate - detector * (unitHours[j] as number)) * share;
        onBackground[j] = (onBackground[j] as number) + pull * base;
        onCauses[j] = (onCauses[j] as number) + (pull * s) / units;
      }
    }
  const gradient = new Float64Array(SIZE);
  for (let j = 0; j < STATES; j++) {
    gradient[CAUSE_COUNT * STATES + j] = onBackground[j] as number;
    for (let c = 0; c < CAUSE_COUNT; c++)
      if (mask & (1 << c)) gradient[c * STATES + j] = (onCauses[j] as number) * (rates[c * STATES + j] as number);
  }
  return { log: top + Math.log(total / logs.length), gradient };
}
