/**
 * Who pays which part of a loss. A contract pays what of a loss lies above its deductible, up to its limit; of several,
 * the earlier one pays first and the next looks at what is left. So every contract takes disjoint slices of the loss,
 * nothing is paid twice, and the expected payment is a difference of limited expectations.
 */
import { normalCdf } from "../core/statistics.ts";

/** One contract as arithmetic needs it; money in the account's currency. */
export interface RecoveryTerm {
  coverageId: string;
  /** Most it pays for one loss; Infinity: no limit. */
  limit: number;
  /** What stays with the owner of each loss. */
  deductible: number;
  /** Part of the coming year in which it is in force: from (0 = now) up to, not including, `to` (1 = a year on). */
  from: number;
  to: number;
  /** Chance that it answers at all: valid, evidence accepted, notice in time. */
  chance: number;
}

/** A slice of a loss, from one height to another, that a contract pays. */
export interface Slice {
  term: number;
  from: number;
  to: number;
}

/**
 * The slices that contracts pay, in the order given. Deductible and limit of each apply to what those before it left.
 * @throws RangeError for a deductible or limit below 0
 */
export function slicesOf(terms: readonly Pick<RecoveryTerm, "limit" | "deductible">[]): Slice[] {
  let left: { from: number; to: number }[] = [{ from: 0, to: Number.POSITIVE_INFINITY }];
  const slices: Slice[] = [];
  for (const [term, { limit, deductible }] of terms.entries()) {
    if (!(limit >= 0) || !(deductible >= 0))
      throw new RangeError(`slicesOf requires limits and deductibles of 0 or more, got ${limit} and ${deductible}`);
    let below = deductible;
    let room = limit;
    const next: typeof left = [];
    for (const { from, to } of left) {
      const start = Math.min(to, from + below);
      below -= start - from;
      const end = below > 0 ? start : Math.min(to, start + room);
      if (end > start) slices.push({ term, from: start, to: end });
      room -= end - start;
      if (start > from) next.push({ from, to: start });
      if (to > end) next.push({ from: end, to });
    }
    left = next;
  }
  return slices;
}

/** What each slice's contract pays of a loss, summed. */
export function paidOf(loss: number, slices: readonly Slice[]): number {
  let paid = 0;
  for (const { from, to } of slices) if (loss > from) paid += Math.min(loss, to) - from;
  return paid;
}

/** A loss whose natural log is normal, by its mean and the sd of the log; spread 0 is a fixed sum. */
export interface Severity {
  mean: number;
  spread: number;
}

/**
 * E[min(X, cap)] of a lognormal loss, the limited expected value (Klugman, Panjer and Willmot, Loss Models, appendix A:
 * exp(mu + s²/2) Φ((ln c - mu - s²)/s) + c (1 - Φ((ln c - mu)/s))).
 */
export function limitedMean({ mean, spread }: Severity, cap: number): number {
  if (!(mean > 0) || cap <= 0) return 0;
  if (cap === Number.POSITIVE_INFINITY) return mean;
  if (spread === 0) return Math.min(mean, cap);
  const z = (Math.log(cap / mean) + spread ** 2 / 2) / spread;
  return mean * normalCdf(z - spread) + cap * (1 - normalCdf(z));
}

/** More contracts for one kind of loss than this cannot be weighed one against the other. */
export const MOST_TERMS = 12;

/**
 * Expected payment of several contracts for one loss, each answering or not by its own chance.
 * @param at `now`: the loss falls today; `year`: at any time of the coming year alike
 * @returns by contract, in the order of the terms
 * @throws RangeError with more than MOST_TERMS terms
 */
export function expectedPaid(severity: Severity, terms: readonly RecoveryTerm[], at: "now" | "year"): number[] {
  if (terms.length > MOST_TERMS)
    throw new RangeError(`expectedPaid takes up to ${MOST_TERMS} contracts, got ${terms.length}`);
  const paid = terms.map(() => 0);
  for (const { from, to } of at === "now" ? [{ from: 0, to: 0 }] : spansOf(terms)) {
    const weight = at === "now" ? 1 : to - from;
    const active = terms.flatMap((term, index) => (isInForce(term, from) && term.chance > 0 ? [index] : []));
    for (let mask = 1; mask < 1 << active.length; mask++) {
      const answering = active.filter((_, bit) => mask & (1 << bit));
      const chance = active.reduce((p, index, bit) => {
        const c = (terms[index] as RecoveryTerm).chance;
        return p * (mask & (1 << bit) ? c : 1 - c);
      }, weight);
      if (chance === 0) continue;
      for (const slice of slicesOf(answering.map((index) => terms[index] as RecoveryTerm))) {
        const index = answering[slice.term] as number;
        paid[index] =
          (paid[index] as number) + chance * (limitedMean(severity, slice.to) - limitedMean(severity, slice.from));
      }
    }
  }
  return paid;
}

/** Whether a contract is in force at a moment of the coming year. */
export function isInForce({ from, to }: Pick<RecoveryTerm, "from" | "to">, at: number): boolean {
  return from <= at && at < to;
}

/** The coming year cut wherever a contract begins or ends. */
function spansOf(terms: readonly RecoveryTerm[]): { from: number; to: number }[] {
  const cuts = new Set([0, 1, ...terms.flatMap(({ from, to }) => [from, to])].filter((c) => c >= 0 && c <= 1));
  const sorted = [...cuts].sort((a, b) => a - b);
  return sorted.slice(1).map((to, i) => ({ from: sorted[i] as number, to }));
}
