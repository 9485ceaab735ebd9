/** Words of calibration, by the file that shows them: what one does not show is not sent to its browser. */

export const CALIBRATION_VIEW = {
  calibration: "Calibration",
  doStatedProbabilitiesOf:
    "Do stated probabilities of a bonding or grounding defect agree with what visits found? Each confirmed visit is set against the last score before it, never a later one. A visit that did not look for the likeliest cause settles nothing and is left out.",
  calibrationHasDrifted: "Calibration has drifted. ",
  tooYoungToJudge: "Not to be judged yet. ",
  lookAtWhatConfirmed: "Look at what confirmed visits propose on",
  parameters: "Parameters",
  outcomesWithADefect: (outcomes: number, found: number, withoutScore: number, unsettled: number) =>
    `${outcomes} outcomes, ${found} with a defect found. Left out: ${withoutScore} confirmed visits before the first score of their site, ${unsettled} that did not settle the question.`,
  noConfirmedVisitCame:
    "No confirmed visit came after a score yet. Outcomes come in with inspections.csv and repairs.csv.",
  statedAndFound: "Stated and found",
  byInstaller: "By installer",
  installer: "Installer",
  byInspector: "By inspector",
  inspector: "Inspector",
  againstSimpleRules: "Against simple rules",
  areaUnderTheRoc: (auc: string) => `Area under the ROC curve: ${auc}. `,
  withSoFewOutcomes: "With so few outcomes these figures move a lot from one visit to the next.",
  lowerIsBetter: (text: string, text2: string) => `Lower is better. ${text}${text2}`,
  scoresAgainstSimpleRules: "Scores against simple rules",
  forecast: "Forecast",
  whatItStates: "What it states",
  brierScore: "Brier score",
  logScoreNats: "Log score, nats",
  noOutcomeNamesOne: "No outcome names one.",
  outcomes: "Outcomes",
  statedMean: "Stated, mean",
  foundInterval: "Found (95 % interval)",
  to: (share: string, low: string, high: string) => `${share} (${low} to ${high})`,
  agreement: "Agreement",
  moreFoundThanStated: "more found than stated",
  fewerFoundThanStated: "fewer found than stated",
  withinTheInterval: "within the interval",
} as const;

export const CALIBRATION_PAGE = {
  calibration: "Calibration",
} as const;

export const RELIABILITY_CHART = {
  shareFoundAgainstStated: "Share found against stated probability",
  aMarkOnThe:
    "A mark on the dashed line agrees. The bar is the 95 % interval of what was found; a diamond lies off its interval.",
  stated: "Stated",
  outcomes: "Outcomes",
  mean: "Mean",
  found: "Found",
  agrees: "Agrees",
  noOutcome: "no outcome",
} as const;
