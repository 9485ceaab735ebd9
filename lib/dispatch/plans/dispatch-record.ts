import { gammaQuantile } from "../../core/statistics.ts";
import { poissonBinomialTail } from "../../correlate/poisson-binomial.ts";
import type { PlanBasis } from "./stored-plan.ts";

/** A visit that was sent out, and what came of it. */
export interface SentVisit {
  crewId: string;
  /** YYYY-MM on the crew's calendar. */
  month: string;
  made: boolean;
  plannedHours: number;
  /** Hours on site as written there; null: not written. */
  hours: number | null;
  /** Driving and work at the crew's rates; null: the rates are not recorded. */
  cost: number | null;
  /** Confirmed defects; null: the visit was not made. */
  found: number | null;
  avoided: number | null;
  expected: PlanBasis["expected"] | undefined;
}

export interface Interval {
  low: number;
  high: number;
}

/** What some visits came to. Intervals hold 90 %. */
export interface DispatchRecord {
  sent: number;
  made: number;
  /** Visits with written hours, and the mean of what was planned and what it took for those. */
  hours: { n: number; planned: number; taken: number } | null;
  cost: { n: number; perVisit: number; perDefect: number | null } | null;
  /** Of visits that were made and whose finds were predicted. */
  finds: {
    n: number;
    found: number;
    /** Defects found a visit, with the interval of a Poisson rate. */
    perVisit: Interval & { rate: number };
    expected: Interval & { found: number };
    /** Where what was found lies against what was expected. */
    verdict: "as_expected" | "fewer" | "more" | "too_few_visits";
    /** Visits that a judgement needs at this rate of expected finds. */
    needs: number;
  } | null;
  /** Loss that the queue expected the visits made to avoid, a visit. */
  avoidedPerVisit: number | null;
}

const TAIL = 0.05;
/** Expected finds from which the interval of the count is about half of it either way: (1.645 / 0.5)². */
const ENOUGH_FINDS = 11;

/** Sums up visits. Nothing is said of what was not recorded, and no judgement passed on too few visits. */
export function dispatchRecord(visits: readonly SentVisit[]): DispatchRecord {
  const made = visits.filter((visit) => visit.made);
  const timed = made.filter((visit): visit is SentVisit & { hours: number } => visit.hours !== null);
  const paid = made.filter((visit): visit is SentVisit & { cost: number } => visit.cost !== null);
  const valued = made.filter((visit) => visit.avoided !== null);
  const sum = <T>(from: readonly T[], of: (each: T) => number) => from.reduce((total, each) => total + of(each), 0);
  const foundByPaid = sum(paid, (visit) => visit.found ?? 0);
  return {
    sent: visits.length,
    made: made.length,
    hours:
      timed.length === 0
        ? null
        : {
            n: timed.length,
            planned: sum(timed, (visit) => visit.plannedHours) / timed.length,
            taken: sum(timed, (visit) => visit.hours) / timed.length,
          },
    cost:
      paid.length === 0
        ? null
        : {
            n: paid.length,
            perVisit: sum(paid, (visit) => visit.cost) / paid.length,
            perDefect: foundByPaid > 0 ? sum(paid, (visit) => visit.cost) / foundByPaid : null,
          },
    finds: findsOf(made),
    avoidedPerVisit: valued.length === 0 ? null : sum(valued, (visit) => visit.avoided ?? 0) / valued.length,
  };
}

function findsOf(made: readonly SentVisit[]): DispatchRecord["finds"] {
  const known = made.filter((visit) => visit.found !== null && visit.expected !== undefined);
  const n = known.length;
  if (n === 0) return null;
  const found = known.reduce((sum, visit) => sum + (visit.found ?? 0), 0);
  const expected = expectedInterval(known.map((visit) => visit.expected as NonNullable<SentVisit["expected"]>));
  const needs = expected.found > 0 ? Math.ceil((ENOUGH_FINDS * n) / expected.found) : Number.POSITIVE_INFINITY;
  const verdict =
    n < needs ? "too_few_visits" : found < expected.low ? "fewer" : found > expected.high ? "more" : "as_expected";
  const rate = poissonInterval(found);
  return { n, found, perVisit: { rate: found / n, low: rate.low / n, high: rate.high / n }, expected, verdict, needs };
}

/**
 * Number of defects expected of some visits with its interval: the spread of a sum of unequal chances, taken at the low
 * end of the band of the probabilities downwards and at the high end upwards, so that both kinds of doubt are in it.
 */
export function expectedInterval(visits: readonly NonNullable<PlanBasis["expected"]>[]): Interval & { found: number } {
  const scaled = (edge: "low" | "high") =>
    visits.flatMap(({ chances, found, ...band }) =>
      chances.map((p) => Math.min(1, p * (found > 0 ? band[edge] / found : 1))),
    );
  const found = visits.reduce((sum, visit) => sum + visit.found, 0);
  const low = scaled("low");
  const high = scaled("high");
  let least = 0;
  while (least < low.length && poissonBinomialTail(low, least + 1) >= 1 - TAIL) least++;
  let most = Math.floor(found);
  while (most < high.length && poissonBinomialTail(high, most + 1) > TAIL) most++;
  return { found, low: least, high: most };
}

/** Exact 90 % interval of the mean of a Poisson count (Garwood 1936). */
export function poissonInterval(count: number): Interval {
  return {
    low: count === 0 ? 0 : gammaQuantile(TAIL, count, 1),
    high: gammaQuantile(1 - TAIL, count + 1, 1),
  };
}
