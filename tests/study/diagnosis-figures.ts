import { BONDING_CAUSES } from "../../lib/core/records.ts";
import {
  auc,
  brierScore,
  calibrationLine,
  type Judged,
  logScore,
  reliabilityBins,
} from "../../lib/diagnose/calibration.ts";
import { diagnose } from "../../lib/diagnose/diagnose.ts";
import { DEFAULT_PARAMETERS, type ParameterTable } from "../../lib/diagnose/parameters.ts";
import { BAND_DRAWS } from "../../lib/jobs/score-site.ts";
import { ridgeLogistic } from "./ridge-logistic.ts";
import { countFeature, siteFeatures, wetFeature } from "./site-features.ts";
import { type StudyCase, studyCases } from "./study-world.ts";

export interface Score {
  name: string;
  auc: number;
  aucSd: number;
  brier: number;
  brierSd: number;
  log: number;
  logSd: number;
}

export interface DiagnosisFigures {
  sites: number;
  labels: number;
  prevalence: number;
  scores: Score[];
  /** Log loss of the model less that of the fit with labels, with the deviation of the paired difference. */
  excess: { mean: number; sd: number };
  slope: { value: number; sd: number } | null;
  bins: ReturnType<typeof reliabilityBins>;
  /** Share of sites whose fully informed posterior lies in the band, and its deviation between worlds. */
  coverage: { share: number; sd: number; width: number };
}

const PENALTY = 8;

/**
 * The diagnosis against sites whose truth is known, without a label, beside baselines that were given labels. The
 * first `labels` sites train the baselines; all figures are of the others.
 */
export function diagnosisFigures(seed: string, sites: number, labels = 400): DiagnosisFigures {
  const cases = studyCases(seed, sites + labels);
  const trained = cases.slice(0, labels);
  const tested = cases.slice(labels);
  const found = (c: StudyCase) => c.causes.some((x) => (BONDING_CAUSES as readonly string[]).includes(x));
  const judge = (p: (c: StudyCase) => number): Judged[] => tested.map((c) => ({ p: p(c), found: found(c) }));
  const fitted = (feature: (c: StudyCase) => number[], penalty: number) => {
    const model = ridgeLogistic(trained.map(feature), trained.map(found), penalty);
    return judge((c) => model(feature(c)));
  };
  const banded = tested.map((c) => believe(c, DEFAULT_PARAMETERS, BAND_DRAWS));
  const informed = tested.map((c) => believe(c, c.truth, 0).p);
  const model = tested.map((c, i) => ({ p: (banded[i] as { p: number }).p, found: found(c) }));
  const logistic = fitted(siteFeatures, PENALTY);
  const line = calibrationLine(model);
  return {
    sites,
    labels,
    prevalence: tested.filter(found).length / tested.length,
    scores: [
      scored("count of faults, with labels", fitted(countFeature, 0.01)),
      scored("wet fraction, with labels", fitted(wetFeature, 0.01)),
      scored("all features logistic, with labels", logistic),
      scored("this diagnosis, no labels", model),
      ...(["inspected", "never inspected"] as const).map((which) =>
        scored(
          `  of them, ${which}`,
          model.filter((_, i) => (tested[i] as StudyCase).inspected === (which === "inspected")),
        ),
      ),
      scored(
        "oracle: the world's own numbers",
        informed.map((p, i) => ({ p, found: (model[i] as Judged).found })),
      ),
    ],
    excess: meanAndSd(model.map((m, i) => logScore([m]) - logScore([logistic[i] as Judged]))),
    slope: line && { value: line.slope, sd: line.slopeSd },
    bins: reliabilityBins(model, 10, 0.99),
    coverage: covered(tested, banded, informed),
  };
}

function believe({ input }: StudyCase, table: ParameterTable, draws: number) {
  return diagnose(input, table, { draws }).bondingDefect;
}

function meanAndSd(values: readonly number[]): { mean: number; sd: number } {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  const variance = values.reduce((s, v) => s + (v - mean) ** 2, 0) / Math.max(1, values.length - 1);
  return { mean, sd: Math.sqrt(variance / values.length) };
}

function scored(name: string, judged: readonly Judged[]): Score {
  const area = auc(judged) ?? 0.5;
  const yes = judged.filter((j) => j.found).length;
  const brier = meanAndSd(judged.map((j) => brierScore([j])));
  const log = meanAndSd(judged.map((j) => logScore([j])));
  return {
    name,
    auc: area,
    aucSd: aucDeviation(area, yes, judged.length - yes),
    brier: brier.mean,
    brierSd: brier.sd,
    log: log.mean,
    logSd: log.sd,
  };
}

/** @source Hanley and McNeil 1982, formula for the standard error of the area */
function aucDeviation(area: number, yes: number, no: number): number {
  const q1 = area / (2 - area);
  const q2 = (2 * area * area) / (1 + area);
  return Math.sqrt(
    (area * (1 - area) + (yes - 1) * (q1 - area * area) + (no - 1) * (q2 - area * area)) / Math.max(1, yes * no),
  );
}

function covered(
  tested: readonly StudyCase[],
  banded: readonly { low: number; high: number }[],
  informed: readonly number[],
): DiagnosisFigures["coverage"] {
  const byWorld = new Map<string, { hits: number; n: number }>();
  let width = 0;
  tested.forEach((c, i) => {
    const { low, high } = banded[i] as { low: number; high: number };
    const p = informed[i] as number;
    const world = byWorld.get(c.truth.version) ?? { hits: 0, n: 0 };
    byWorld.set(c.truth.version, { hits: world.hits + (p >= low && p <= high ? 1 : 0), n: world.n + 1 });
    width += (high - low) / tested.length;
  });
  const shares = meanAndSd([...byWorld.values()].map((w) => w.hits / w.n));
  return { share: shares.mean, sd: shares.sd, width };
}
