import { shiftTest } from "./shift-test.ts";
import type { Residuals } from "./strata.ts";
import { STRATA } from "./sun-hours.ts";

/** Lower edges of the bins of film depth, mm; the first bin is dry. Engineering judgement. */
export const DOSE_EDGES_MM = [0, 0.05, 0.2, 0.5] as const;
const BINS = DOSE_EDGES_MM.length;

export interface DoseBin {
  fromMm: number;
  /** null: no upper edge. */
  toMm: number | null;
  unitHours: number;
  episodes: number;
  /** Episodes that hour of day and season alone would put here. */
  expected: number;
  /** episodes / expected; null when nothing is expected. */
  ratio: number | null;
}

export interface DoseResponse {
  bins: DoseBin[];
  /** Trend of onsets with the bin number within strata, by whole-day shifts; p is one-sided, null when not given. */
  trend: { z: number | null; p: number | null };
}

/**
 * Onsets by how much water lay on the array, against what strata of solar hour and month expect: more trips with more
 * water is what a leak does.
 *
 * @param filmMm film an hour, NaN unknown
 * @param onsets indexes of onsets at risk
 * @param stratum as `sunHours` gives it
 * @param exposure units at risk an hour
 * @source the trend is that of Cochran 1954 and Armitage 1955 within strata, with a permutation in place of the normal
 */
export function doseResponse(
  filmMm: Float32Array,
  onsets: readonly number[],
  { stratum, exposure }: { stratum: Uint16Array; exposure: ArrayLike<number> },
): DoseResponse {
  const bin = Int8Array.from(filmMm, binOf);
  const hours = new Float64Array(STRATA * BINS);
  const bins: DoseBin[] = DOSE_EDGES_MM.map((fromMm, b) => ({
    fromMm,
    toMm: DOSE_EDGES_MM[b + 1] ?? null,
    unitHours: 0,
    episodes: 0,
    expected: 0,
    ratio: null,
  }));
  for (let i = 0; i < bin.length; i++) {
    const b = bin[i] as number;
    if (b < 0 || exposure[i] === 0) continue;
    const cell = (stratum[i] as number) * BINS + b;
    hours[cell] = (hours[cell] as number) + (exposure[i] as number);
    (bins[b] as DoseBin).unitHours += exposure[i] as number;
  }
  for (const i of onsets) {
    const b = bin[i];
    if (b === undefined || b < 0) continue;
    (bins[b] as DoseBin).episodes++;
    const own = hours.subarray((stratum[i] as number) * BINS, ((stratum[i] as number) + 1) * BINS);
    const total = own.reduce((x, y) => x + y, 0);
    for (let k = 0; k < BINS && total > 0; k++) (bins[k] as DoseBin).expected += (own[k] as number) / total;
  }
  for (const b of bins) b.ratio = b.expected > 0 ? b.episodes / b.expected : null;
  const { z, p } = shiftTest(
    onsets.filter((i) => (bin[i] ?? -1) >= 0),
    scoreResiduals(bin, hours, stratum, exposure),
  );
  return { bins, trend: { z, p } };
}

function binOf(mm: number): number {
  if (Number.isNaN(mm)) return -1;
  let b = 0;
  while (b + 1 < BINS && mm >= (DOSE_EDGES_MM[b + 1] as number)) b++;
  return b;
}

/** Bin number less its mean in the stratum, and its variance there. */
function scoreResiduals(
  bin: Int8Array,
  hours: Float64Array,
  stratum: Uint16Array,
  exposure: ArrayLike<number>,
): Residuals {
  const n = bin.length;
  const out = { residual: new Float32Array(n), variance: new Float32Array(n), share: new Float32Array(n) };
  const mean = new Float64Array(STRATA);
  const variance = new Float64Array(STRATA);
  for (let s = 0; s < STRATA; s++) {
    let total = 0;
    let sum = 0;
    let squares = 0;
    for (let b = 0; b < BINS; b++) {
      const h = hours[s * BINS + b] as number;
      total += h;
      sum += h * b;
      squares += h * b * b;
    }
    mean[s] = total > 0 ? sum / total : 0;
    variance[s] = total > 0 ? squares / total - (mean[s] as number) ** 2 : 0;
  }
  for (let i = 0; i < n; i++) {
    if ((bin[i] as number) < 0 || exposure[i] === 0) continue;
    out.residual[i] = (bin[i] as number) - (mean[stratum[i] as number] as number);
    out.variance[i] = variance[stratum[i] as number] as number;
  }
  return out;
}
