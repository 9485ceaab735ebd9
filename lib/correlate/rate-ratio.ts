import { betaQuantile, binomialCdf, binomialPmf } from "../core/statistics.ts";

export interface CountOverTime {
  events: number;
  /** Above 0. */
  unitHours: number;
}

export interface RateRatio {
  /** null when the second rate is 0. */
  ratio: number | null;
  lower: number;
  /** null: no upper limit (no event in the second group). */
  upper: number | null;
  /** Two-sided: sum of the probabilities of outcomes at most as likely as the one seen. */
  pTwoSided: number;
  /** One-sided, first rate greater. */
  pGreater: number;
  /** One-sided mid-P. */
  pMid: number;
}

/** Relative slack when comparing probabilities, as R's exact tests use. */
const SLACK = 1 + 1e-7;

/**
 * Ratio of two Poisson rates with the exact conditional interval and tests: given the total, the first count is
 * binomial.
 *
 * @param exposed  events and exposure while the condition held
 * @param other    the same while it did not
 * @param level    coverage of the interval, default 0.95 (Clopper-Pearson on the binomial share)
 * @param nullRatio ratio under the hypothesis tested, default 1
 * @throws RangeError when an exposure is not above 0 or a count is not a whole number of 0 or more
 * @valid independent events at a constant rate in each group; says nothing about season or runs of wet weather
 * @source Przyborowski and Wilenski 1940 (conditional test), Clopper and Pearson 1934; checked against R's poisson.test
 */
export function rateRatio(exposed: CountOverTime, other: CountOverTime, level = 0.95, nullRatio = 1): RateRatio {
  for (const group of [exposed, other]) {
    if (!(group.unitHours > 0) || !Number.isFinite(group.unitHours))
      throw new RangeError(`rateRatio requires unitHours above 0, got ${group.unitHours}`);
    if (!Number.isInteger(group.events) || group.events < 0)
      throw new RangeError(`rateRatio requires whole events of 0 or more, got ${group.events}`);
  }
  const k = exposed.events;
  const n = k + other.events;
  const odds = other.unitHours / exposed.unitHours;
  const p0 = nullRatio / (nullRatio + odds);
  const share = (q: number) => (q / (1 - q)) * odds;
  const tail = (1 - level) / 2;
  const lower = k === 0 ? 0 : share(betaQuantile(tail, k, n - k + 1));
  const upper = k === n ? null : share(betaQuantile(1 - tail, k + 1, n - k));
  const here = binomialPmf(k, n, p0);
  const pGreater = k === 0 ? 1 : 1 - binomialCdf(k - 1, n, p0);
  return {
    ratio: other.events === 0 ? null : k / exposed.unitHours / (other.events / other.unitHours),
    lower,
    upper,
    pTwoSided: n === 0 ? 1 : twoSided(here, n, p0),
    pGreater,
    pMid: pGreater - here / 2,
  };
}

function twoSided(here: number, n: number, p0: number): number {
  let sum = 0;
  for (let i = 0; i <= n; i++) {
    const p = binomialPmf(i, n, p0);
    if (p <= here * SLACK) sum += p;
  }
  return Math.min(1, sum);
}
