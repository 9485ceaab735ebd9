/** Words of rain, faults and clocks on the page of a site, by the file that shows them: what one does not show is not sent to its browser. */

export const TIMELINE_CHART = {
  theTimeLineCould: (status: number) => `The time line could not be read (${status}).`,
  lastMonthByThe: "Last month by the hour",
  showTheHoursOf: "Show the hours of what is seen",
  allYearsOfThe: "All years of the log",
  backToTwelveMonths: "Back to twelve months",
  tryAgain: "Try again.",
  rainFilmOfWater: "Rain, film of water and ground faults",
  rainTheDeepestFilm: (timeZone: string, text: number) =>
    `Rain, the deepest film of water on the array, and a mark for each ground-fault episode, one under the other. Times are in ${timeZone}. Drag over the picture, move the ends of the slider, turn the wheel or choose a storm to zoom; within ${text} days the hours can be shown.`,
  goToAStorm: "Go to a storm with ground faults",
  fault: "fault",
  faults: "faults",
  notKnown: "not known",
  day: "Day",
  hour: "Hour",
  rain: "Rain",
  deepestFilm: "Deepest film",
  groundFaultOnsets: "Ground-fault onsets",
  groundFaultsAsA: (faults: number) => `Ground faults as a table (${faults})`,
  onset: "Onset",
  end: "End",
  array: "Array",
  what: "What",
  wet: "wet",
  dry: "dry",
} as const;

export const WEATHER_PICTURE = {
  theWeatherOfThe: (status: number) => `The weather of the faults could not be worked out (${status}).`,
  howTheFaultsGo: "How the faults go with the weather",
  loadThePageAgain: "Load the page again.",
  settingTheFaultsAgainst: "Setting the faults against the weather",
  noGroundFaultLies:
    "No ground fault lies in an hour at risk with known weather, so there is nothing to set against it. That is a gap, not an all-clear.",
  clockOfTheLog: "Clock of the log",
  noGroundFaultTo: "No ground fault to check a clock by.",
} as const;

export const LAG_CHART = {
  howMuchWetterThan:
    "How much wetter than usual for the hour and month it was before and after the onsets. A peak at 0 with a slow tail is water on the surface, one some hours to the right is water that creeps in, one to the left can only be a clock that is wrong.",
  tooFewDaysTo: (how: string) => `${how} Too few days to say what chance would give.`,
  hereNoLagRises: (how: string) => `${how} Here no lag rises above what chance alone gives.`,
  hereThePeakLies: (how: string, peakLag: number) =>
    `${how} Here the peak lies at ${peakLag} h, above what chance gives at any lag.`,
  wetnessAroundTheOnsets: "Wetness around the onsets",
  hoursBefore: "Hours before",
  excess: "Excess",
  logRateRatio: "Log rate ratio",
  notKnown: "not known",
} as const;

export const DOSE_CHART = {
  orMore: (fromMm: string) => `${fromMm} or more`,
  filmOfWaterAt: "film of water at the onset",
  onsetsAgainstThoseExpected: "onsets, against those expected",
  seenExpected: "seen : expected",
  trendWithDepthP: (p: string) => ` Trend with depth: p ${p}.`,
  onsetsByDepthOf: "Onsets by depth of water",
  onsetsInEachDepth: (trend: string) =>
    `Onsets in each depth of film against what hour of day and month alone would put there (the dashed line): a leak trips more the wetter it is.${trend}`,
  film: "Film",
  onsets: "Onsets",
  expected: "Expected",
  unitHoursAtRisk: "Unit-hours at risk",
  perH: "Per 1000 h",
  noHours: "no hours",
  under: (to: string | null) => `under ${to}`,
} as const;

export const DRIVERS_TABLE = {
  moreThan: (text: number) => `more than ${text}`,
  whatDrivesThem: "What drives them",
  eachDriverAgainstA:
    "Each driver against a rate that follows only this site’s own season and time of day. They are weighed against each other only; none of this is the probability of a defect.",
  driversCompared: "Drivers compared",
  driver: "Driver",
  movedByTheOnsets: "Moved by the onsets, decibans",
  behindTheFirstDecibans: "Behind the first, decibans",
} as const;

export const RATE_TABLE = {
  noHours: "no hours",
  notGiven: "not given",
  noLimit: "no limit",
  wetOnsetsPerUnit: "Wet: onsets per 1000 unit-hours",
  dryOnsetsPerUnit: "Dry: onsets per 1000 unit-hours",
  rateRatioWithinHour: "Rate ratio within hour and month",
  exactPWithinStrata: "Exact p within strata, onsets independent",
  pByShiftingThe: "p by shifting the weather by whole days",
  shiftsShareThatReach: "Shifts; share that reach it",
  overdispersionOfTheOnsets: "Overdispersion of the onsets",
  ratioInTheLight: "Ratio in the light of the fleet",
  againstWaterDoesNothing: "Against “water does nothing here”, in the light of the fleet",
  ratioIfAlarmsWithin: (gapHours: number, episodes: number) =>
    `Ratio if alarms within ${gapHours} h are one (${episodes} onsets)`,
  ratesAndTests: "Rates and tests",
  onlyHoursAtRisk:
    "Only hours at risk count. The fleet draws a ratio that rests on few onsets towards what sites are like.",
  tableOfRatesAnd: "Table of rates and tests",
  decibans: (noEffect: string) => `${noEffect} decibans`,
} as const;

export const CLOCK_PANEL = {
  rightInWinter: "right in winter",
  allYear: (offsetHours: string) => `${offsetHours} all year`,
  hFurtherInSummer: (summerHours: number, text: string) => `${summerHours} h further ${text} in summer time`,
  moreThanDecibans: (text: number) => `more than ${text} decibans`,
  onsetsOfAndOf: (onsets: number, name: string) =>
    `${onsets} onsets of ${name} and of the sites that share it were held against sun and water.`,
  theySayThatThe: (base: string, proposal: string, probability: string, darkAsLogged: number, darkAsRead: number) =>
    `${base} They say that the clock is ${proposal} (by ${probability} against all other readings): ${darkAsLogged} onsets lie in the dark as the times stand, ${darkAsRead} would.`,
  nothingSpeaksClearlyFor: (base: string, right: string, darkAsLogged: number) =>
    `${base} Nothing speaks clearly for a wrong clock; the onsets give ${right} for a right one, ${darkAsLogged} onsets in the dark.`,
  clockOf: (name: string) => `Clock of ${name}`,
  timesAreAlreadyCorrected: (corrected: string, by: string) =>
    `Times are already corrected for a clock ${corrected}, accepted by ${by} on`,
  withdrawTheCorrection: "Withdraw the correction",
  acceptTheClockIs: (proposal: string) => `Accept: the clock is ${proposal}`,
  hourOfTheSolar: "hour of the solar day (noon is 12)",
  onsetsAtThisSite: "onsets at this site",
  asTheTimesStand: "as the times stand",
  ifCorrected: "if corrected",
  onsetsByHourOf: (name: string) => `Onsets by hour of the solar day, clock of ${name}`,
  onsetsByHourOfThe:
    "Onsets by hour of the solar day, before and after the correction: an array cannot drive a fault in the dark, so a right clock leaves the night empty.",
  solarHour: "Solar hour",
  asTheTimesStand2: "As the times stand",
  ifCorrected2: "If corrected",
  reasonForTheRecord: "Reason, for the record",
  storing: "Storing …",
  storedEverySiteOf: "Stored. Every site of this log is scored anew.",
  decibans: (by: string) => `${by} decibans`,
} as const;
