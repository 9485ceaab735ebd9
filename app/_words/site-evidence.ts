/** Words of the evidence on the page of a site, by the file that shows them: what one does not show is not sent to its browser. */

export const REASONS = {
  strongestReasonForA: "Strongest reason for a defect",
  nothingRecordedOfThis: "Nothing recorded of this site speaks for one.",
  strongestReasonAgainst: "Strongest reason against",
  nothingRecordedOfThisSite: "Nothing recorded of this site speaks against one.",
  decibans: (decibans: string, source: string) => `(${decibans} decibans, ${source})`,
} as const;

export const EVIDENCE_CHART = {
  evidenceForAndAgainst: "Evidence for and against a bonding or grounding defect, decibans",
  aBarToThe:
    "A bar to the right speaks for a defect, one to the left against it; its length is how much, and the items stand in the order in which they were weighed.",
  decibansDependOnThe:
    "Decibans depend on the order in which items are weighed. “If left out” does not: it is what the belief would lose without that item alone.",
  source: "Source",
  decibans: "Decibans",
  ifLeftOut: "If left out",
  whatItSays: "What it says",
  sum: "Sum",
  theOddsOfA: "the odds of a bonding or grounding defect, as a logarithm",
} as const;

export const CAUSES_TABLE = {
  causes: "Causes",
  probabilityOfEachBy: "Probability of each by itself, with its band. Causes can be there together.",
  cause: "Cause",
  family: "Family",
  probability: "Probability",
  bonding: "bonding",
  other: "other",
} as const;

export const WEATHER_PANEL = {
  itsGroundFaultsDo: "Its ground faults do not follow the weather.",
  itsGroundFaultsCome: "Its ground faults come with rain.",
  itsGroundFaultsComeWith: "Its ground faults come with dew.",
  itsGroundFaultsComeWhen: "Its ground faults come when the array is wet, by rain or dew.",
  itsGroundFaultsComeWhenThe: "Its ground faults come when the modules are hot.",
  itsGroundFaultsComeWithThunderstorms: "Its ground faults come with thunderstorms.",
  itsGroundFaultsComeWithWind: "Its ground faults come with wind.",
  notEnoughDataTo: "Not enough data to tell whether weather drives its ground faults.",
  theWeatherIsUnknown:
    "The weather is unknown, so its ground faults could not be set against it. That is a gap, not an all-clear.",
  noLimit: "no limit",
  wetAgainstDry: "Wet against dry",
  rateRatioWetDry: "Rate ratio, wet : dry",
  notGiven: "not given",
  interval: "95 % interval",
  to: (low: string, high: string) => `${low} to ${high}`,
  byMovingTheWeather: ", by moving the weather day by day",
  adjustedAcrossTheFleet: ", adjusted across the fleet",
  wetOnsetsIn: "Wet: onsets in",
  unitHoursAtRisk: "unit-hours at risk",
  inH: (wet_episodes: number, wet_hours: string) => `${wet_episodes} in ${wet_hours} h`,
  dryOnsetsInUnit: "Dry: onsets in unit-hours at risk",
  inH2: (dry_episodes: number, dry_hours: string) => `${dry_episodes} in ${dry_hours} h`,
  weatherIsKnownFor: (coverage: number) => ` Weather is known for ${coverage} % of the hours of the log.`,
  itsNewestHourWas: (at: string) => ` Its newest hour was observed ${at}.`,
} as const;

export const NEXT_TESTS = {
  theNextTestsCould: (status: number) => `The next tests could not be worked out (${status}).`,
  whatWouldChangeThis: "What would change this most",
  testsByExpectedInformation:
    "Tests by expected information about a bonding or grounding defect, with where either outcome would lead. What is checked for safety is on the checklist whether or not it is here. Treat all metal as live; measure before touching.",
  loadThePageAgain: "Load the page again.",
  workingOutTheNext: "Working out the next tests",
  noSingleTestWould: "No single test would move it noticeably.",
  nextTests: "Next tests",
  test: "Test",
  where: "Where",
  bits: "Bits",
  ifItFails: "if it fails",
  expectedInformationBits: "Expected information, bits",
  bondingDefectIfIt: "Bonding defect if it fails",
  ifItPasses: "if it passes",
  section: (sectionId: string) => `section ${sectionId}`,
  inverter: (inverterId: string) => `inverter ${inverterId}`,
  theSite: "the site",
} as const;

export const WHAT_IF = {
  whatIf: "What if",
  setAFindingOr:
    "Set a finding or a reading and see the belief move. Nothing is stored, and no visit is changed by it.",
  check: "Check",
  where: "Where",
  theSite: "the site",
  outcome: "Outcome",
  readingIfMeasured: "Reading, if measured",
  unit: "Unit",
  addAndSee: "Add and see",
  takeOut: "Take out",
  takeOutAll: "Take out all",
  workingItOut: "Working it out …",
  section: (id: string) => `section ${id}`,
  inverter: (id: string) => `inverter ${id}`,
} as const;

export const WHAT_IF_RESULT = {
  beliefNowAndThen: "Belief now and then",
  ofTheSite: "Of the site",
  now: "Now",
  withTheseFindings: "With these findings",
  bondingOrGroundingDefect: "Bonding or grounding defect",
  metalThatMayBe: "Metal that may be energised",
  urgency: "Urgency",
  byItself: (cause: string) => `${cause}, by itself`,
  evidenceDecibans: (source: string) => `Evidence: ${source}, decibans`,
} as const;

export const WORKINGS = {
  kwDc: (dcKw: number) => `${dcKw} kW DC`,
} as const;
