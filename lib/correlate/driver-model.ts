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

const BASIS = Array.from({ length: STRATA }, (_, s) => {
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
});
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
  const size = BASIS[0]?.length ?? 0;
  const n = withDriver ? size + 1 : size;
  const used = usedCells(cells);
  const total = used.reduce((sum, c) => sum + (cells.exposure[c] as number), 0);
  const onsets = used.reduce((sum, c) => sum + (cells.onsets[c] as number), 0);
  const beta = new Float64Array(n);
  beta[0] = Math.log(Math.max(onsets, 0.5) / total);
  if (withDriver) beta[size] = RATIO_MEAN / 2;
  let at = objective(cells, used, beta, overdispersion);
  for (let step = 0; step < STEPS; step++) {
    const { gradient, hessian } = slopes(cells, used, beta, overdispersion);
    const move = solve(hessian, gradient);
    let scale = 1;
    let next = beta.map((b, k) => b + (move.x[k] as number));
    let value = objective(cells, used, next, overdispersion);
    while (value < at - 1e-9 && scale > 1e-4) {
      scale /= 2;
      next = beta.map((b, k) => b + scale * (move.x[k] as number));
      value = objective(cells, used, next, overdispersion);
    }
    beta.set(next);
    const gained = value - at;
    at = value;
    if (gained < 1e-7) break;
  }
  const { hessian } = slopes(cells, used, beta, overdispersion);
  const priors = PRECISION.reduce((sum, p) => sum + (p > 0 ? Math.log(p) / 2 : 0), 0);
  return at + priors - (withDriver ? Math.log(RATIO_SD) : 0) - solve(hessian, beta).logDeterminant / 2;
}

function usedCells({ exposure }: DriverCells): number[] {
  const used: number[] = [];
  for (let c = 0; c < exposure.length; c++) if ((exposure[c] as number) > 0) used.push(c);
  return used;
}

function predictor(beta: Float64Array, c: number): number {
  const x = BASIS[c % STRATA] as number[];
  let sum = 0;
  for (let k = 0; k < x.length; k++) sum += (x[k] as number) * (beta[k] as number);
  return c >= STRATA && beta.length > x.length ? sum + (beta[x.length] as number) : sum;
}

function objective(cells: DriverCells, used: readonly number[], beta: Float64Array, overdispersion: number): number {
  let log = 0;
  for (const c of used) {
    const eta = predictor(beta, c);
    log += (cells.onsets[c] as number) * eta - (cells.exposure[c] as number) * Math.exp(eta);
  }
  log /= overdispersion;
  PRECISION.forEach((p, k) => {
    log -= (p * (beta[k] as number) ** 2) / 2;
  });
  if (beta.length > PRECISION.length) log -= (((beta[PRECISION.length] as number) - RATIO_MEAN) / RATIO_SD) ** 2 / 2;
  return log;
}

function slopes(cells: DriverCells, used: readonly number[], beta: Float64Array, overdispersion: number) {
  const n = beta.length;
  const size = PRECISION.length;
  const gradient = new Float64Array(n);
  const hessian = Array.from({ length: n }, () => new Float64Array(n));
  for (const c of used) {
    const x = BASIS[c % STRATA] as number[];
    const mean = ((cells.exposure[c] as number) * Math.exp(predictor(beta, c))) / overdispersion;
    const off = (cells.onsets[c] as number) / overdispersion - mean;
    const top = c >= STRATA ? n : size;
    for (let j = 0; j < top; j++) {
      const xj = j < size ? (x[j] as number) : 1;
      gradient[j] = (gradient[j] as number) + off * xj;
      const row = hessian[j] as Float64Array;
      for (let k = 0; k <= j; k++) row[k] = (row[k] as number) + mean * xj * (k < size ? (x[k] as number) : 1);
    }
  }
  for (let j = 0; j < n; j++) {
    const precision = j < size ? (PRECISION[j] as number) : 1 / (RATIO_SD * RATIO_SD);
    const centre = j < size ? 0 : RATIO_MEAN;
    gradient[j] = (gradient[j] as number) - precision * ((beta[j] as number) - centre);
    const row = hessian[j] as Float64Array;
    row[j] = (row[j] as number) + precision;
  }
  return { gradient, hessian };
}

/** Solve a symmetric positive definite system, lower triangle given, by Cholesky; with the log of the determinant. */
function solve(lower: readonly Float64Array[], right: Float64Array): { x: Float64Array; logDeterminant: number } {
  const n = right.length;
  const l = lower.map((row) => row.slice());
  let logDeterminant = 0;
  for (let j = 0; j < n; j++) {
    const row = l[j] as Float64Array;
    for (let k = 0; k <= j; k++) {
      const other = l[k] as Float64Array;
      let sum = row[k] as number;
      for (let m = 0; m < k; m++) sum -= (row[m] as number) * (other[m] as number);
      row[k] = j === k ? Math.sqrt(Math.max(sum, 1e-12)) : sum / (other[k] as number);
    }
    logDeterminant += 2 * Math.log(row[j] as number);
  }
  const x = right.slice();
  for (let j = 0; j < n; j++) {
    for (let k = 0; k < j; k++) x[j] = (x[j] as number) - ((l[j] as Float64Array)[k] as number) * (x[k] as number);
    x[j] = (x[j] as number) / ((l[j] as Float64Array)[j] as number);
  }
  for (let j = n - 1; j >= 0; j--) {
    for (let k = j + 1; k < n; k++) x[j] = (x[j] as number) - ((l[k] as Float64Array)[j] as number) * (x[k] as number);
    x[j] = (x[j] as number) / ((l[j] as Float64Array)[j] as number);
  }
  return { x, logDeterminant };
}
