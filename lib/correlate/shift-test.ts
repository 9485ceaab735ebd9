import { gammaCdf, normalCdf } from "../core/statistics.ts";
import type { Residuals } from "./strata.ts";

/** Shifts nearer than this share their weather with the true alignment and say little. */
const NEAREST_DAYS = 3;
const DAY = 24;
/** With fewer shifts than this nothing can be said of how onsets vary. */
const FEWEST_SHIFTS = 20;
/** Where fewer shifts than this reach the excess seen, their share is too coarse and the fitted tail is used. */
const COARSE = 10;
/** A fitted tail says nothing of what lies beyond this. */
const SMALLEST_P = 1e-15;

export interface ShiftTest {
  /** Standardised excess of onsets in hours that are "on" over what their strata expect; null: nothing to compare. */
  z: number | null;
  /** One-sided p-value: as many or more such onsets by chance alone. Null with z, and with too few days to shift. */
  p: number | null;
  /** Share of shifts with an excess at least as large, the true alignment counted in. */
  pEmpirical: number | null;
  /** Variance of z over shifts, at least 1: how much more onsets vary than independent ones would. */
  overdispersion: number;
  shifts: number;
}

/**
 * Do onsets fall into hours of some kind more often than their hour of day and season explain?
 *
 * The onsets are held against the same weather moved by every whole number of days, circularly: that keeps hours of
 * day, runs of wet weather and runs of onsets, and breaks only the match between them. Where fewer than ten shifts
 * reach the excess seen, the p-value is the tail of a gamma distribution with the mean, variance and skewness of the
 * shifts: few onsets in rare weather give a skewed excess, whose tail a normal one would make too thin.
 *
 * @param onsets indexes into the residuals, ascending or not; indexes outside are ignored
 * @shape O(onsets x days); whole days of residuals are used
 * @valid a month of data or more; with few days the p-value cannot be small
 */
export function shiftTest(onsets: ArrayLike<number>, { residual, variance }: Residuals): ShiftTest {
  const days = Math.floor(residual.length / DAY);
  const length = days * DAY;
  const inside = Int32Array.from(onsets).filter((i) => i >= 0 && i < length);
  const z = excess(inside, residual, variance, 0, length);
  if (z === null) return { z, p: null, pEmpirical: null, overdispersion: 1, shifts: 0 };
  const moved: number[] = [];
  for (let d = NEAREST_DAYS; d <= days - NEAREST_DAYS; d++) {
    const other = excess(inside, residual, variance, d * DAY, length);
    if (other !== null) moved.push(other);
  }
  const shifts = moved.length;
  if (shifts < FEWEST_SHIFTS) return { z, p: null, pEmpirical: null, overdispersion: 1, shifts };
  const { p, pEmpirical, sd } = tail(z, moved);
  return { z, p, pEmpirical, overdispersion: Math.max(1, sd * sd), shifts };
}

/** Where an excess lies among those of the shifts: by count where that is fine enough, else by the fitted tail. */
function tail(z: number, moved: readonly number[]): { p: number; pEmpirical: number; sd: number } {
  const atLeast = moved.filter((other) => other >= z).length;
  const { mean, sd, skewness } = moments(moved);
  const pEmpirical = (1 + atLeast) / (1 + moved.length);
  const p = atLeast < COARSE && sd > 0 ? skewedTail((z - mean) / sd, skewness) : pEmpirical;
  return { p: Math.max(p, SMALLEST_P), pEmpirical, sd };
}

/**
 * The test for onsets whose clock was corrected by hours that wetness helped to choose: under every shift the largest
 * excess over the same choice of hours is what counts, so that choosing is paid for.
 * @param scanHours hours beside the correction that were open; holds 0
 * @returns p-value, or null where nothing can be compared or shifted
 */
export function scannedShiftTest(
  onsets: ArrayLike<number>,
  { residual, variance }: Residuals,
  scanHours: readonly number[],
): number | null {
  const days = Math.floor(residual.length / DAY);
  const length = days * DAY;
  const inside = Int32Array.from(onsets).filter((i) => i >= 0 && i < length);
  const z = excess(inside, residual, variance, 0, length);
  if (z === null) return null;
  const highest: number[] = [];
  for (let d = NEAREST_DAYS; d <= days - NEAREST_DAYS; d++) {
    const moved = scanHours.flatMap((h) => excess(inside, residual, variance, d * DAY - h, length) ?? []);
    if (moved.length > 0) highest.push(Math.max(...moved));
  }
  return highest.length < FEWEST_SHIFTS ? null : tail(z, highest).p;
}

/** Excess of the onsets moved by a number of hours; null when none of them then falls into a comparable hour. */
function excess(
  onsets: Int32Array,
  residual: Float32Array,
  variance: Float32Array,
  shift: number,
  length: number,
): number | null {
  let u = 0;
  let v = 0;
  for (let k = 0; k < onsets.length; k++) {
    const at = (onsets[k] as number) + shift;
    const j = at < length ? (at < 0 ? at + length : at) : at - length;
    u += residual[j] as number;
    v += variance[j] as number;
  }
  return v > 0 ? u / Math.sqrt(v) : null;
}

function moments(values: readonly number[]): { mean: number; sd: number; skewness: number } {
  const n = values.length;
  const mean = values.reduce((a, b) => a + b, 0) / n;
  let squares = 0;
  let cubes = 0;
  for (const x of values) {
    squares += (x - mean) ** 2;
    cubes += (x - mean) ** 3;
  }
  const sd = Math.sqrt(squares / n);
  return { mean, sd, skewness: sd > 0 ? cubes / n / sd ** 3 : 0 };
}

/**
 * Upper tail of a distribution with mean 0, variance 1 and a skewness: a shifted gamma (Pearson type III), normal when
 * it is not skewed to the right.
 */
export function skewedTail(z: number, skewness: number): number {
  if (!(skewness > 0.02)) return normalCdf(-z);
  const shape = 4 / (skewness * skewness);
  const x = shape + z * Math.sqrt(shape);
  return x <= 0 ? 1 : 1 - gammaCdf(x, shape, 1);
}
