import type { Instant } from "../core/records.ts";
import { logGamma } from "../core/statistics.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { WET_STATES } from "../weather/weather-state.ts";

/** Unit-hours at risk and onsets of a span, wet and not. */
export interface SpanCounts {
  wetHours: number;
  wetEpisodes: number;
  dryHours: number;
  dryEpisodes: number;
}

export interface RecurrenceRates {
  /** Probability before any hour since that the defect is still there. */
  prior: number;
  /** Expected onsets a wet hour from the cause, and from everything else; both above 0. */
  causePerHour: number;
  backgroundPerHour: number;
}

const isWet = (state: string): boolean => (WET_STATES as readonly string[]).includes(state);

/** Counts of a span. Hours come from monthly sums; a month that the span cuts is shared out by time. */
export function wetCounts({ episodes, exposureByMonth }: SiteCorrelation, from: Instant, to: Instant): SpanCounts {
  const out: SpanCounts = { wetHours: 0, wetEpisodes: 0, dryHours: 0, dryEpisodes: 0 };
  for (const month of exposureByMonth) {
    const share = Math.max(0, Math.min(to, month.to) - Math.max(from, month.from)) / (month.to - month.from);
    for (const [state, hours] of Object.entries(month.unitHours)) {
      if (state === "unknown") continue;
      if (isWet(state)) out.wetHours += hours * share;
      else out.dryHours += hours * share;
    }
  }
  for (const { atRisk, onset, state } of episodes) {
    if (!atRisk || onset < from || onset >= to || state === "unknown") continue;
    if (isWet(state)) out.wetEpisodes++;
    else out.dryEpisodes++;
  }
  return out;
}

/** Gamma for the rate of wet onsets: the table's rate worth one onset, then what the site itself showed before. */
function siteRate(before: SpanCounts, perHour: number): { shape: number; rate: number } {
  return { shape: 1 + before.wetEpisodes, rate: 1 / perHour + before.wetHours };
}

/** ln P(k onsets in h hours) for a gamma-distributed rate: the negative binomial, without the k! that cancels. */
function logPredictive(k: number, hours: number, { shape, rate }: { shape: number; rate: number }): number {
  return logGamma(shape + k) - logGamma(shape) + shape * Math.log(rate / (rate + hours)) - k * Math.log(rate + hours);
}

/**
 * Probability that a repaired defect is still there, given the wet hours since and the onsets in them. If it is, wet
 * hours go on at the rate of the site before the repair (gamma, conjugate); if it is gone, at the background's.
 */
export function stillThere(before: SpanCounts, after: SpanCounts, rates: RecurrenceRates): number {
  const there = logPredictive(after.wetEpisodes, after.wetHours, siteRate(before, rates.causePerHour));
  const gone = logPredictive(after.wetEpisodes, after.wetHours, { shape: 1, rate: 1 / rates.backgroundPerHour });
  const odds = (rates.prior / (1 - rates.prior)) * Math.exp(there - gone);
  return Number.isFinite(odds) ? odds / (1 + odds) : 1;
}

/**
 * Wet hours without a fault, from now on, until the defect is still there with at most `goal`.
 * @returns 0 where that is so already; null where silence would not get there within ten years of wet hours
 */
export function moreWetHours(
  before: SpanCounts,
  after: SpanCounts,
  rates: RecurrenceRates,
  goal: number,
): number | null {
  const left = (more: number) => stillThere(before, { ...after, wetHours: after.wetHours + more }, rates);
  if (left(0) <= goal) return 0;
  const LONGEST = 10 * 8766;
  if (left(LONGEST) > goal) return null;
  let low = 0;
  let high = LONGEST;
  for (let i = 0; i < 50; i++) {
    const mid = (low + high) / 2;
    if (left(mid) > goal) low = mid;
    else high = mid;
  }
  return high;
}
