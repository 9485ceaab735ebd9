import {
  auc,
  brierScore,
  calibrationLine,
  type Judged,
  logScore,
  type ReliabilityBin,
  reliabilityBins,
} from "./calibration.ts";

/** Outcomes of each kind below which a calibration is not judged. Judgement: the slope's error is then still near 0.3. */
export const FEWEST_OF_EACH = 20;
/** A slope outside this range raises the alarm, once the data exclude that it lies inside by chance. Judgement. */
export const SLOPE_RANGE = { low: 0.8, high: 1.25 } as const;

export type CalibrationWatch =
  | { kind: "too_few"; found: number; notFound: number; neededFound: number; neededNotFound: number; says: string }
  | {
      kind: "judged";
      brier: number;
      logScore: number;
      auc: number;
      slope: number | null;
      alarm: boolean;
      bins: ReliabilityBin[];
      says: string;
    };

/**
 * Whether stated probabilities agree with what visits found. A fleet too young to judge says how many outcomes it lacks.
 * The alarm needs the slope outside its range and 1 outside its 95 % interval, so that it does not ring for noise.
 */
export function calibrationWatch(judged: readonly Judged[]): CalibrationWatch {
  const found = judged.filter((each) => each.found).length;
  const notFound = judged.length - found;
  const neededFound = Math.max(0, FEWEST_OF_EACH - found);
  const neededNotFound = Math.max(0, FEWEST_OF_EACH - notFound);
  if (neededFound > 0 || neededNotFound > 0) {
    const says = `Too few outcomes to judge: ${neededFound} more visits that find a defect and ${neededNotFound} more that look and find none are needed.`;
    return { kind: "too_few", found, notFound, neededFound, neededNotFound, says };
  }
  const line = calibrationLine(judged);
  const outside = line !== null && (line.slope < SLOPE_RANGE.low || line.slope > SLOPE_RANGE.high);
  const alarm = line !== null && outside && Math.abs(line.slope - 1) > 1.96 * line.slopeSd;
  return {
    kind: "judged",
    brier: brierScore(judged),
    logScore: logScore(judged),
    auc: auc(judged) as number,
    slope: line?.slope ?? null,
    alarm,
    bins: reliabilityBins(judged),
    says: sentence(line?.slope ?? null, alarm, judged.length),
  };
}

function sentence(slope: number | null, alarm: boolean, n: number): string {
  if (slope === null)
    return `${n} outcomes; stated probabilities separate them completely, so a slope cannot be given.`;
  const words = `Calibration slope ${slope.toFixed(2)} over ${n} outcomes (1 is right)`;
  if (!alarm) return `${words}.`;
  return `${words}: probabilities are stated too ${slope < 1 ? "boldly" : "timidly"}.`;
}
