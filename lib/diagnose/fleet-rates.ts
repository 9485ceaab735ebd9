import { logGamma } from "../core/statistics.ts";

export interface FleetRates {
  /** Mean and standard deviation of each site's own rate, per unit of exposure, in the order given. */
  sites: { mean: number; sd: number }[];
  /** Gamma(shape, rate) that the sites' rates are spread by: posterior means. */
  shape: number;
  rate: number;
}

/** Steps a side of the grid over the two numbers of the fleet, and its reach on the log scale. */
const STEPS = 160;
const SHAPE_REACH = [-4, 3.5] as const;
const RATE_REACH = [-6.5, 3.5] as const;

/**
 * Rates of sites that resemble each other: counts are Poisson, each site's rate comes from a gamma that the whole fleet
 * shares, so a site with little exposure leans on the others and one with much stands on its own.
 *
 * Full posterior on a grid (log scale, midpoint rule), not a point estimate: a small fleet does not know its own spread.
 * Prior of the shape Exp(1), of the rate Gamma(0.1, 1) per unit of exposure: scale exposures so that typical rates are
 * not far from 1 (hours in thousands).
 *
 * @param counts events a site, whole numbers of 0 or more
 * @param exposures above 0, same length
 * @source the model of the pump example, BUGS Examples volume 1 (George, Makov and Smith 1993)
 */
export function fleetRates(counts: readonly number[], exposures: readonly number[]): FleetRates {
  if (counts.length === 0 || counts.length !== exposures.length)
    throw new RangeError("fleetRates requires as many exposures as counts, at least 1");
  if (counts.some((x) => !(x >= 0)) || exposures.some((t) => !(t > 0)))
    throw new RangeError("fleetRates requires counts of 0 or more and exposures above 0");
  const cells: { shape: number; rate: number; log: number }[] = [];
  for (let i = 0; i < STEPS; i++) {
    const shape = Math.exp(SHAPE_REACH[0] + ((i + 0.5) / STEPS) * (SHAPE_REACH[1] - SHAPE_REACH[0]));
    for (let j = 0; j < STEPS; j++) {
      const rate = Math.exp(RATE_REACH[0] + ((j + 0.5) / STEPS) * (RATE_REACH[1] - RATE_REACH[0]));
      // ln shape + ln rate: the grid is even on the log scale.
      const log =
        -shape -
        0.9 * Math.log(rate) -
        rate +
        Math.log(shape) +
        Math.log(rate) +
        marginal(counts, exposures, shape, rate);
      cells.push({ shape, rate, log });
    }
  }
  return summarised(cells, counts, exposures);
}

/** ln P(counts | shape, rate), site rates integrated out; terms that do not depend on shape or rate are left out. */
function marginal(counts: readonly number[], exposures: readonly number[], shape: number, rate: number): number {
  const own = shape * Math.log(rate) - logGamma(shape);
  return counts.reduce(
    (sum, x, i) => sum + own + logGamma(shape + x) - (shape + x) * Math.log(rate + (exposures[i] as number)),
    0,
  );
}

function summarised(
  cells: readonly { shape: number; rate: number; log: number }[],
  counts: readonly number[],
  exposures: readonly number[],
): FleetRates {
  const top = cells.reduce((best, { log }) => Math.max(best, log), Number.NEGATIVE_INFINITY);
  const weights = cells.map(({ log }) => Math.exp(log - top));
  const total = weights.reduce((sum, w) => sum + w, 0);
  const mean = (of: (cell: { shape: number; rate: number }) => number) =>
    cells.reduce((sum, cell, k) => sum + (weights[k] as number) * of(cell), 0) / total;
  const sites = counts.map((x, i) => {
    const t = exposures[i] as number;
    const first = mean(({ shape, rate }) => (shape + x) / (rate + t));
    const second = mean(({ shape, rate }) => ((shape + x) * (shape + x + 1)) / (rate + t) ** 2);
    return { mean: first, sd: Math.sqrt(Math.max(0, second - first ** 2)) };
  });
  return { sites, shape: mean(({ shape }) => shape), rate: mean(({ rate }) => rate) };
}
