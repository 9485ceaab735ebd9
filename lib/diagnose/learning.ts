import { CAUSES, type Cause } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import type { ParameterRow, ParameterTable } from "./parameters.ts";

/** What a visit confirmed at a site, beside what was stated before it. */
export interface VisitOutcome {
  siteId: string;
  /** Causes found by measurement or sight. */
  found: readonly Cause[];
  /** Causes somebody looked for; one that nobody looked for says nothing, however quiet the report. */
  lookedFor: readonly Cause[];
  /** Marginal of each cause as stated just before the visit, from everything that led to it. */
  stated: Readonly<Record<Cause, number>>;
}

/** Beta after hits and misses: the conjugate update. */
export function updateBeta(
  prior: { a: number; b: number },
  hits: number,
  misses: number,
): { a: number; b: number; mean: number } {
  if (!(prior.a > 0 && prior.b > 0 && hits >= 0 && misses >= 0))
    throw new RangeError("updateBeta requires a, b above 0 and counts of 0 or more");
  const a = prior.a + hits;
  const b = prior.b + misses;
  return { a, b, mean: a / (a + b) };
}

/** Gamma rate (shape, rate in hours) after events in hours at risk: the conjugate update. */
export function updateGamma(
  prior: { shape: number; rate: number },
  events: number,
  hours: number,
): { shape: number; rate: number; mean: number } {
  if (!(prior.shape > 0 && prior.rate > 0 && events >= 0 && hours >= 0))
    throw new RangeError("updateGamma requires shape, rate above 0 and counts of 0 or more");
  const shape = prior.shape + events;
  const rate = prior.rate + hours;
  return { shape, rate, mean: shape / rate };
}

/**
 * How far the log odds of a cause were stated off, over sites that were visited because they looked suspicious.
 *
 * Counting finds among visited sites would teach that defects are common, because only suspicious sites are visited.
 * Here each site is compared with its own stated probability, which already holds everything that led to the visit, so
 * the choice of sites cancels.
 *
 * @param pairs stated probability and outcome of sites where the cause was looked for
 * @param pseudoVisits weight of the present table, as visits at its own base rate
 * @returns log odds to add, 0 for no pairs; the mode under a normal prior around 0
 */
export function offsetFromVisits(
  pairs: readonly { stated: number; found: boolean }[],
  base: number,
  pseudoVisits: number,
): number {
  if (!(base > 0 && base < 1 && pseudoVisits > 0))
    throw new RangeError("offsetFromVisits requires a base rate between 0 and 1 and pseudoVisits above 0");
  const precision = pseudoVisits * base * (1 - base);
  const odds = pairs.map(({ stated }) => logit(Math.min(1 - 1e-9, Math.max(1e-9, stated))));
  let low = -10;
  let high = 10;
  // The gradient falls steadily in the offset, so bisection cannot miss its only root.
  for (let i = 0; i < 60; i++) {
    const mid = (low + high) / 2;
    const gradient = pairs.reduce(
      (sum, { found }, k) => sum + (found ? 1 : 0) - expit((odds[k] as number) + mid),
      -precision * mid,
    );
    if (gradient > 0) low = mid;
    else high = mid;
  }
  return pairs.length === 0 ? 0 : (low + high) / 2;
}

/** Weight of the default base rates, in visits. Judgement. */
export const BASE_RATE_PSEUDO_VISITS = 60;

/**
 * A new parameter table whose base rates have learned from confirmed visits. The old table is not changed, so going
 * back is using it again.
 * @param version version of the new table; must differ from the old
 */
export function learnBaseRates(
  table: ParameterTable,
  outcomes: readonly VisitOutcome[],
  version: string,
): ParameterTable {
  if (version === table.version) throw new RangeError(`learnBaseRates requires a new version, got "${version}" again`);
  const moved = new Map<string, ParameterRow>();
  for (const cause of CAUSES) {
    const row = table.rows.find(({ key }) => key === `prior.${cause}`);
    if (!row) throw new RangeError(`the parameter table has no row "prior.${cause}"`);
    const looked = outcomes.filter(({ lookedFor }) => lookedFor.includes(cause));
    if (looked.length === 0) continue;
    const pairs = looked.map((each) => ({ stated: each.stated[cause], found: each.found.includes(cause) }));
    const offset = offsetFromVisits(pairs, row.value, BASE_RATE_PSEUDO_VISITS);
    const information = pairs.reduce((sum, { stated }) => sum + stated * (1 - stated), 0);
    const precision = row.spread > 0 ? 1 / row.spread ** 2 : Number.POSITIVE_INFINITY;
    moved.set(row.key, {
      ...row,
      value: expit(logit(row.value) + offset),
      spread: row.spread > 0 ? 1 / Math.sqrt(precision + information) : 0,
      provenance: {
        kind: row.provenance.kind,
        source: `${row.provenance.source}; moved by ${looked.length} confirmed visits`,
      },
    });
  }
  return { version, rows: table.rows.map((row) => moved.get(row.key) ?? row) };
}
