import type { ReliabilityBin } from "../diagnose/calibration.ts";

/** A share of finds with its 95 % interval beside the mean that was stated. */
export interface CalibrationGroup {
  name: string;
  outcomes: number;
  found: number;
  stated: number;
  share: number;
  low: number;
  high: number;
  /** Stated mean outside the interval: worth a look; few outcomes have wide ones. */
  apart: boolean;
}

export interface CalibrationView {
  outcomes: number;
  found: number;
  /** Confirmed visits that no score went before, and those that did not settle the question. */
  withoutScore: number;
  unsettled: number;
  /** The verdict in a sentence; `alarm` rings only where there are enough outcomes to judge. */
  says: string;
  judged: boolean;
  alarm: boolean;
  bins: ReliabilityBin[];
  /** Lower is better; null with no outcome. */
  scores: { name: string; what: string; brier: number; logScore: number }[] | null;
  auc: number | null;
  installers: CalibrationGroup[];
  inspectors: CalibrationGroup[];
}
