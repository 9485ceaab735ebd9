import { STRATA } from "./sun-hours.ts";

/** Hours at risk and onsets of a site by stratum, with a driver off (first STRATA cells) and on (the rest). */
export interface DriverCells {
  exposure: Float64Array;
  onsets: Float64Array;
}

/** How far a site's own rate may follow season and time of day, as standard deviations of its harmonics; assumed. */
const SEASON_SD = 0.6;
const DAY_SD = 0.6;
const HALF_DAY_SD = 0.3;
/** Log rate ratio of a driver before any data: four times, between about one and sixteen; assumed. */
const RATIO_MEAN = Math.log(4);
const RATIO_SD = 0.7;

const SIZE = 7;
/** Level, season and day of every stratum, SIZE numbers each. */
const BASIS = Float64Array.from(
  Array.from({ length: STRATA }, (_, s) => {
    const hour = (2 * Math.PI * (Math.floor(s / 12) + 0.5)) / 24;
    const season = (2 * Math.PI * ((s % 12) + 0.5)) / 12;
    return [
      1,
      Math.cos(season),
      Math.sin(season),
      Math.cos(hour),
      Math.sin(hour),
      Math.cos(2 * hour),
      Math.sin(2 * hour),
    ];
  }).flat(),
);
/** Precision of each coefficient; the first, the site's rate, is left free. */
const PRECISION = [0, SEASON_SD, SEASON_SD, DAY_SD, DAY_SD, HALF_DAY_SD, HALF_DAY_SD].map((sd) =>
  sd === 0 ? 0 : 1 / (sd * sd),
);
const STEPS = 30;

/**
 * Log evidence of the onsets under one driver, or under none: a Poisson rate that may follow season and time of day in
 * its own way, times a ratio while the driver is on, integrated over all of these by Laplace's method.
 *
 * Letting the site have its own season and day is what keeps heat from being credited with summer noons and dew with
 * mornings; holding them to smooth curves is what still lets heat and dew be found.
 *
 * @param overdispersion at least 1; the likelihood is raised to its inverse
 * @returns natural log, up to a constant that is the same for all drivers of the same onsets
 * @shape O(cells x 8² x steps)
 */
export function logEvidence(cells: DriverCells, withDriver: boolean, overdispersion: number): number {
  const n = withDriver ? SIZE + 1 : SIZE;
  const used = usedCells(cells);
  const beta = new Float64Array(n);
  beta[0] = Math.log(Math.max(sumOver(used, cells.onsets), 0.5) / sumOver(used, cells.exposure));
  if (withDriver) beta[SIZE] = RATIO_MEAN / 2;
  const fit = new Fit(cells, used, overdispersion);
  let at = fit.objective(beta);
  const next = new Float64Array(n);
  for (let step = 0; step < STEPS; step++) {
    const { gradient, hessian } = fit.slopes(beta);
    const move = solve(hessian, gradient).x;
    let scale = 1;
    for (let k = 0; k < n; k++) next[k] = (beta[k] as number) + (move[k] as number);
    let value = fit.objective(next);
    while (value < at - 1e-9 && scale > 1e-4) {
      scale /= 2;
      for (let k = 0; k < n; k++) next[k] = (beta[k] as number) + scale * (move[k] as number);
      value = fit.objective(next);
    }
    beta.set(next);
    const gained = value - at;
    at = value;
    if (gained < 1e-7) break;
  }
  const { hessian } = fit.slopes(beta);
  const priors = PRECISION.reduce((sum, p) => sum + (p > 0 ? Math.log(p) / 2 : 0), 0);
  return at + priors - (withDriver ? Math.log(RATIO_SD) : 0) - solve(hessian, beta).logDeterminant / 2;
}

function usedCells({ exposure }: DriverCells): Int32Array {
  const used = new Int32Array(exposure.length);
  let count = 0;
  for (let c = 0; c < exposure.length; c++) if ((exposure[c] as number) > 0) used[count++] = c;
  return used.subarray(0, count);
}

function sumOver(used: Int32Array, values: Float64Array): number {
  let sum = 0;
  for (let u = 0; u < used.length; u++) sum += values[used[u] as number] as number;
  return sum;
}

/** Expected onsets of each used cell under the coefficients asked for last: `slopes` follows `objective` at the same ones. */
const EXPECTED = new Float64Array(2 * STRATA);

/** The log posterior of the coefficients and its slopes. */
class Fit {
  constructor(
    readonly cells: DriverCells,
    readonly used: Int32Array,
    readonly overdispersion: number,
  ) {}

  objective(beta: Float64Array): number {
    const { cells, used } = this;
    const withDriver = beta.length > SIZE;
    let log = 0;
    for (let u = 0; u < used.length; u++) {
      const c = used[u] as number;
      const row = (c >= STRATA ? c - STRATA : c) * SIZE;
      let eta = 0;
      for (let k = 0; k < SIZE; k++) eta += (BASIS[row + k] as number) * (beta[k] as number);
      if (c >= STRATA && withDriver) eta += beta[SIZE] as number;
      const expected = (cells.exposure[c] as number) * Math.exp(eta);
      EXPECTED[u] = expected;
      log += (cells.onsets[c] as number) * eta - expected;
    }
    log /= this.overdispersion;
    for (let k = 0; k < SIZE; k++) log -= ((PRECISION[k] as number) * (beta[k] as number) ** 2) / 2;
    if (withDriver) log -= (((beta[SIZE] as number) - RATIO_MEAN) / RATIO_SD) ** 2 / 2;
    return log;
  }

  /** At the coefficients that the objective was asked for last. */
  slopes(beta: Float64Array): { gradient: Float64Array; hessian: Float64Array } {
    const { cells, used, overdispersion } = this;
    const n = beta.length;
    const gradient = new Float64Array(n);
    const hessian = new Float64Array(n * n);
    for (let u = 0; u < used.length; u++) {
      const c = used[u] as number;
      const x = (c >= STRATA ? c - STRATA : c) * SIZE;
      const mean = (EXPECTED[u] as number) / overdispersion;
      const off = (cells.onsets[c] as number) / overdispersion - mean;
      for (let j = 0; j < SIZE; j++) {
        const xj = BASIS[x + j] as number;
        gradient[j] = (gradient[j] as number) + off * xj;
        const share = mean * xj;
        for (let k = 0; k <= j; k++)
          hessian[j * n + k] = (hessian[j * n + k] as number) + share * (BASIS[x + k] as number);
      }
      if (c < STRATA || n === SIZE) continue;
      gradient[SIZE] = (gradient[SIZE] as number) + off;
      for (let k = 0; k < SIZE; k++)
        hessian[SIZE * n + k] = (hessian[SIZE * n + k] as number) + mean * (BASIS[x + k] as number);
      hessian[SIZE * n + SIZE] = (hessian[SIZE * n + SIZE] as number) + mean;
    }
    for (let j = 0; j < n; j++) {
      const precision = j < SIZE ? (PRECISION[j] as number) : 1 / (RATIO_SD * RATIO_SD);
      const centre = j < SIZE ? 0 : RATIO_MEAN;
      gradient[j] = (gradient[j] as number) - precision * ((beta[j] as number) - centre);
      hessian[j * n + j] = (hessian[j * n + j] as number) + precision;
    }
    return { gradient, hessian };
  }
}

/**
 * Solve a symmetric positive definite system, rows of the lower triangle given, by Cholesky; with the log of the determinant.
 * The matrix is overwritten.
 */
function solve(l: Float64Array, right: Float64Array): { x: Float64Array; logDeterminant: number } {
  const n = right.length;
  let logDeterminant = 0;
  for (let j = 0; j < n; j++) {
    for (let k = 0; k <= j; k++) {
      let sum = l[j * n + k] as number;
      for (let m = 0; m < k; m++) sum -= (l[j * n + m] as number) * (l[k * n + m] as number);
      l[j * n + k] = j === k ? Math.sqrt(Math.max(sum, 1e-12)) : sum / (l[k * n + k] as number);
    }
    logDeterminant += 2 * Math.log(l[j * n + j] as number);
  }
  const x = right.slice();
  for (let j = 0; j < n; j++) {
    for (let k = 0; k < j; k++) x[j] = (x[j] as number) - (l[j * n + k] as number) * (x[k] as number);
    x[j] = (x[j] as number) / (l[j * n + j] as number);
  }
  for (let j = n - 1; j >= 0; j--) {
    for (let k = j + 1; k < n; k++) x[j] = (x[j] as number) - (l[k * n + j] as number) * (x[k] as number);
    x[j] = (x[j] as number) / (l[j * n + j] as number);
  }
  return { x, logDeterminant };
}
