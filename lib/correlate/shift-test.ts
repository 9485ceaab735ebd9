import { normalCdf } from "../core/statistics.ts";
import type { Residuals } from "./strata.ts";

/** Shifts nearer than this share their weather with the true alignment and say little. */
const NEAREST_DAYS = 3;
const DAY = 24;
/** A tail approximation says nothing of what lies beyond this. */
const SMALLEST_P = 1e-15;

export interface ShiftTest {
  /** Standardised excess of wet onsets over what their strata expect; null when nothing can be compared. */
  z: number | null;
  /** One-sided p-value: as many or more wet onsets by chance alone. Null with z. */
  p: number | null;
  /** Share of shifts with an excess at least as large, before the tail approximation. */
  pEmpirical: number | null;
  /** Variance of z over shifts, at least 1: how much more onsets vary than independent ones would. */
  overdispersion: number;
  shifts: number;
}

/**
 * Do onsets fall into wet hours more often than their hour of day and season explain?
 *
 * The onsets are held against the same weather moved by every whole number of days, circularly: that keeps hours of
 * day, runs of wet weather and runs of onsets, and breaks only the match between them. Where fewer than ten shifts
 * reach the observed excess the empirical p-value is coarse, and the normal tail widened by the overdispersion is used.
 *
 * @param onsets indexes into the residuals, ascending or not; indexes outside are ignored
 * @shape O(onsets x days); a multiple of 24 h of residuals is used
 * @valid a month of data or more; with few days the empirical p-value cannot be small
 */
export function shiftTest(onsets: readonly number[], { residual, variance }: Residuals): ShiftTest {
  const days = Math.floor(residual.length / DAY);
  const length = days * DAY;
  const inside = onsets.filter((i) => i >= 0 && i < length);
  const excess = (shift: number): number => {
    let u = 0;
    let v = 0;
    for (const i of inside) {
      const j = i + shift < length ? i + shift : i + shift - length;
      u += residual[j] as number;
      v += variance[j] as number;
    }
    return v > 0 ? u / Math.sqrt(v) : Number.NaN;
  };
  const z = inside.length > 0 ? excess(0) : Number.NaN;
  if (Number.isNaN(z)) return { z: null, p: null, pEmpirical: null, overdispersion: 1, shifts: 0 };
  let atLeast = 0;
  let shifts = 0;
  let sum = 0;
  let squares = 0;
  for (let d = NEAREST_DAYS; d <= days - NEAREST_DAYS; d++) {
    const moved = excess(d * DAY);
    if (Number.isNaN(moved)) continue;
    shifts++;
    if (moved >= z) atLeast++;
    sum += moved;
    squares += moved * moved;
  }
  if (shifts < 20) return { z, p: normalCdf(-z), pEmpirical: null, overdispersion: 1, shifts };
  const overdispersion = Math.max(1, squares / shifts - (sum / shifts) ** 2);
  const pEmpirical = (1 + atLeast) / (1 + shifts);
  const p = atLeast < 10 ? Math.min(pEmpirical, normalCdf(-z / Math.sqrt(overdispersion))) : pEmpirical;
  return { z, p: Math.max(p, SMALLEST_P), pEmpirical, overdispersion, shifts };
}
