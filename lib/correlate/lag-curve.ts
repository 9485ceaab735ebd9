import { sampleQuantile } from "../core/statistics.ts";
import type { Residuals } from "./strata.ts";

const DAY = 24;
const NEAREST_DAYS = 3;
const FEWEST_SHIFTS = 20;

export interface LagCurve {
  /** Hours before the onset at which the weather is looked at; negative: after it. */
  lags: number[];
  /** Standardised excess of wet hours at each lag; null where nothing can be compared. */
  excess: (number | null)[];
  /** One-step estimate of the log rate ratio at each lag; null with the excess. */
  logRatio: (number | null)[];
  /** 95 % of curves of chance alone stay below this at every lag at once; null: too few days to tell. */
  envelope: number | null;
  /** Lag of the largest excess, where it is above the envelope; null: none is. */
  peakLag: number | null;
}

/**
 * How wet the hours before and after the onsets were, against what hour of day and season make of them.
 *
 * A peak at 0 with a slow tail to positive lags is water on the surface; a peak some hours later is water that creeps
 * in; a peak at a negative lag can only be a clock that is wrong. The envelope is simultaneous: it is the 95 % point of
 * the highest excess at any lag over whole-day circular shifts.
 *
 * @param onsets indexes into the residuals
 * @param wet residuals over all hours with known weather, dark ones too: what matters lies before the onset
 * @shape O(lags x onsets x days)
 */
export function lagCurve(onsets: readonly number[], wet: Residuals, mostHours = 24): LagCurve {
  const lags = Array.from({ length: 2 * mostHours + 1 }, (_, i) => i - mostHours);
  const days = Math.floor(wet.residual.length / DAY);
  const length = days * DAY;
  const inside = onsets.filter((i) => i >= 0 && i < length);
  const at = (shift: number) => lags.map((lag) => sums(inside, wet, shift - lag, length));
  const own = at(0);
  const excess = own.map(({ u, v }) => (v > 0 ? u / Math.sqrt(v) : null));
  const logRatio = own.map(({ u, v }) => (v > 0 ? u / v : null));
  const highest: number[] = [];
  for (let d = NEAREST_DAYS; d <= days - NEAREST_DAYS && inside.length > 0; d++) {
    let top = Number.NEGATIVE_INFINITY;
    for (const { u, v } of at(d * DAY)) if (v > 0) top = Math.max(top, u / Math.sqrt(v));
    if (top > Number.NEGATIVE_INFINITY) highest.push(top);
  }
  const envelope = highest.length >= FEWEST_SHIFTS ? sampleQuantile(highest, 0.95) : null;
  let peak = -1;
  excess.forEach((x, k) => {
    if (x !== null && (peak < 0 || x > (excess[peak] as number))) peak = k;
  });
  const isAbove = envelope !== null && peak >= 0 && (excess[peak] as number) > envelope;
  return { lags, excess, logRatio, envelope, peakLag: isAbove ? (lags[peak] as number) : null };
}

function sums(onsets: readonly number[], { residual, variance }: Residuals, shift: number, length: number) {
  let u = 0;
  let v = 0;
  for (const i of onsets) {
    const j = (((i + shift) % length) + length) % length;
    u += residual[j] as number;
    v += variance[j] as number;
  }
  return { u, v };
}
