/** Words of charts, by the file that shows them: what one does not show is not sent to its browser. */

export const BARS_OPTION = {
  notKnown: "not known",
} as const;

export const BEFORE_AFTER_OPTION = {
  noHours: "no hours",
  groundFaultsPerUnit: "ground faults per 1000 unit-hours",
} as const;

export const EVIDENCE_OPTION = {
  decibansLeftAgainstRight: "decibans: left against, right for a bonding or grounding defect",
} as const;

export const EXCEEDANCE_OPTION = {
  netLossOfThe: (name: string, currency: string) => `net loss of the year, ${name}${currency}`,
  chanceOfMore: "chance of more",
  valueAtRisk: "value at risk",
} as const;

export const HISTORY_OPTION = {
  bondingOrGroundingDefect: "bonding or grounding defect",
} as const;

export const LAG_OPTION = {
  hoursBeforeTheOnset: "hours before the onset (left of 0: after it)",
  excessOfWetHours: "excess of wet hours, standard units",
  ofChanceStaysBelow: "95 % of chance stays below",
} as const;

export const RELIABILITY_OPTION = {
  statedProbability: "stated probability",
  shareFound: "share found",
  noOutcome: "no outcome",
  statedFoundToIn: (stated: string, found: string, low: string, high: string, trials: number) =>
    `stated ${stated}, found ${found} (${low} to ${high}) in ${trials}`,
} as const;

export const TIMELINE_OPTION = {
  rainADay: (rainUnit: string) => `rain, ${rainUnit} a day`,
  rainInTheHour: (rainUnit: string) => `rain, ${rainUnit} in the hour`,
  filmOfWaterMil: "film of water, mil",
  filmOfWaterMm: "film of water, mm",
  groundFaults: "ground faults",
  filmOfWater: "film of water",
  groundFault: "ground fault",
} as const;

export const TREND_OPTION = {
  toSites: (month: string, expected_defects: string, low: string, high: string) => `${month}
${expected_defects} (${low} to ${high}) sites`,
} as const;
