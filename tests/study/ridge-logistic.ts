import { expit } from "../../lib/core/statistics.ts";

/**
 * Logistic regression with a ridge on standardised columns, by Newton's method; the intercept is not penalised.
 * @returns a function from a row of the same columns to a probability
 * @source Hoerl and Kennard 1970 for the ridge; Le Cessie and van Houwelingen 1992 for it in logistic regression
 */
export function ridgeLogistic(
  rows: readonly (readonly number[])[],
  found: readonly boolean[],
  penalty: number,
): (row: readonly number[]) => number {
  const first = rows[0];
  if (!first || rows.length !== found.length) throw new RangeError("ridgeLogistic requires rows and as many outcomes");
  const width = first.length;
  const mean = Array.from({ length: width }, (_, j) => rows.reduce((s, r) => s + (r[j] as number), 0) / rows.length);
  const sd = mean.map((m, j) => {
    const v = rows.reduce((s, r) => s + ((r[j] as number) - m) ** 2, 0) / rows.length;
    return v > 1e-12 ? Math.sqrt(v) : 1;
  });
  const standard = (row: readonly number[]) => [1, ...row.map((x, j) => (x - (mean[j] as number)) / (sd[j] as number))];
  const xs = rows.map(standard);
  let weights = new Array<number>(width + 1).fill(0);
  for (let step = 0; step < 30; step++) {
    const move = newtonStep(xs, found, weights, penalty);
    weights = weights.map((w, j) => w + (move[j] as number));
    if (Math.max(...move.map(Math.abs)) < 1e-8) break;
  }
  return (row) => expit(dot(standard(row), weights));
}

const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((s, x, i) => s + x * (b[i] as number), 0);

function newtonStep(
  xs: readonly (readonly number[])[],
  found: readonly boolean[],
  weights: readonly number[],
  penalty: number,
): number[] {
  const n = weights.length;
  const gradient = weights.map((w, j) => (j === 0 ? 0 : -penalty * w));
  const hessian = Array.from({ length: n }, (_, j) => {
    const row = new Float64Array(n);
    row[j] = j === 0 ? 1e-9 : penalty;
    return row;
  });
  xs.forEach((x, i) => {
    const p = expit(dot(x, weights));
    const rest = (found[i] ? 1 : 0) - p;
    for (let j = 0; j < n; j++) {
      gradient[j] = (gradient[j] as number) + rest * (x[j] as number);
      const scaled = p * (1 - p) * (x[j] as number);
      const row = hessian[j] as Float64Array;
      for (let k = 0; k < n; k++) row[k] = (row[k] as number) + scaled * (x[k] as number);
    }
  });
  return solved(hessian, gradient);
}

/** Gauss elimination with pivoting; the matrix and the vector are used up. */
function solved(matrix: Float64Array[], vector: number[]): number[] {
  const n = vector.length;
  for (let c = 0; c < n; c++) {
    let best = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(at(matrix, r, c)) > Math.abs(at(matrix, best, c))) best = r;
    [matrix[c], matrix[best]] = [matrix[best] as Float64Array, matrix[c] as Float64Array];
    [vector[c], vector[best]] = [vector[best] as number, vector[c] as number];
    for (let r = c + 1; r < n; r++) {
      const factor = at(matrix, r, c) / at(matrix, c, c);
      const row = matrix[r] as Float64Array;
      for (let k = c; k < n; k++) row[k] = (row[k] as number) - factor * at(matrix, c, k);
      vector[r] = (vector[r] as number) - factor * (vector[c] as number);
    }
  }
  const out = new Array<number>(n).fill(0);
  for (let r = n - 1; r >= 0; r--) {
    let sum = vector[r] as number;
    for (let k = r + 1; k < n; k++) sum -= at(matrix, r, k) * (out[k] as number);
    out[r] = sum / at(matrix, r, r);
  }
  return out;
}

const at = (matrix: readonly Float64Array[], r: number, c: number): number => (matrix[r] as Float64Array)[c] as number;
