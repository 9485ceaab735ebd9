import { type DriverCells, FIT, PRECISION, RATIO_MEAN, RATIO_SD, SIZE } from "./driver-fit.ts";

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
 * @shape O(cells x steps)
 */
export function logEvidence(cells: DriverCells, withDriver: boolean, overdispersion: number): number {
  const n = withDriver ? SIZE + 1 : SIZE;
  const fit = FIT;
  fit.begin(cells, withDriver, overdispersion);
  const beta = new Float64Array(n);
  beta[0] = Math.log(Math.max(fit.onsets, 0.5) / fit.exposure);
  if (withDriver) beta[SIZE] = RATIO_MEAN / 2;
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
