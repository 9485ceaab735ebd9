/** Words of site, by the file that shows them: what one does not show is not sent to its browser. */

export const BEFORE_AFTER = {
  noHours: "no hours",
  groundFaultsPerUnit: "Ground faults per 1000 unit-hours before and after the repair",
  ratesWithTheArray:
    "Rates with the array wet and dry, before and after; the line across each bar is its 95 % interval. A bond that held brings the wet rate down to the dry one; a span without hours at risk has no bar.",
  array: "Array",
  when: "When",
  groundFaults: "Ground faults",
  unitHours: "Unit-hours",
  perH: "Per 1000 h (95 %)",
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

export const DETECTOR_WORD = {
  isTheGroundFault: "Is the ground-fault detector enabled, with the thresholds it had before the repair?",
  yesLookedAt: (text: string) => `${text}Yes, looked at`,
  noItWasChanged: (text: string) => `${text}No, it was changed`,
  storedWithYourName: "Stored with your name. The site is being scored anew; load the page again in a little while.",
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

export const FIX_WATCH = {
  didTheFixesHold: "Did the fixes hold",
  noRepairOfA: "No repair of a named cause is recorded, so none is watched.",
  silenceAloneIsNo:
    "Silence alone is no proof: held needs continuity and insulation measured after the repair, the detector enabled as before, and wet hours with the inverters reporting.",
  repaired: (cause: string, day: string, text: string) => `${cause}, repaired ${day}${text}`,
  defectStillThere: "Defect still there",
  wetHoursToThat: "Wet hours to 95 % that it is gone",
  missingToCallIt: "Missing to call it held:",
} as const;

export const GROUNDING_PATH = {
  drawingAndLinks: "Drawing and links",
  groundingPath: "Grounding path",
  fromEveryMetalFrame: "From every metal frame to the service ground, as recorded and inspected up to",
  aLinkCountsAs:
    ". A link counts as verified only by an inspection of that very link. Treat all metal as live whatever is drawn here. Roof above, earth below; thin lines only lead from a box to its links.",
  drawingOfTheGrounding: "Drawing of the grounding path",
  links: "Links",
  theVoltageAlongA:
    "The voltage along a link is the current a DC fault can send times the resistance read there, for verified and measured links only. Anything else may stand at whatever the array puts to ground. An AC fault is not in it.",
  linksOfTheGrounding: "Links of the grounding path",
  link: "Link",
  statusByWhomAnd: "Status, by whom and when",
  voltageOfADc: "Voltage of a DC fault",
  to: (from: string, to: string) => `${from} to ${to}`,
  sizeMadeBy: (name: string, size: string, made: string) => `${name}, size ${size}, made by: ${made}`,
  verifiedByNobody: "Verified by nobody",
  nameNotRecorded: "name not recorded",
  licence: (inspector: string, licence: string) => `${inspector}, licence ${licence}`,
  by: (who: string, day: string) => `By ${who}, ${day}`,
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

export const MAKE_SAFE_FIELDS = {
  messageThatWasAnswered: "message that was answered",
  inPerson: "in person",
  letterOnSite: "letter on site",
  whoWasTold: "Who was told",
  byWhatMeans: "By what means",
  toKeepPeopleOff: "To keep people off the array, the racking and the ladder",
  notToResetAnything: "Not to reset anything, from afar or on site",
  stopTheInverterOpen:
    "Stop the inverter, open and lock AC then DC, prove absence live-dead-live. Never unplug or open under load. What is on the module side stays live in light.",
  numberOfTheLock: "Number of the lock",
  photoOfTheLock: "Photo of the lock and its tag",
  aRepairThatIs: "A repair that is on record already",
  noneOfTheseAs: "none of these: as written below",
  causeThatWasRepaired: "Cause that was repaired",
  section: "Section",
  theSiteAsA: "the site as a whole",
  inverter: "Inverter",
  noneNamed: "none named",
  whatWasDone: "What was done",
  theCauseWasFound: "The cause was found by measurement or sight",
  withTheSystemStill:
    "With the system still isolated and by a written procedure: continuity of the bonds and conductors, insulation of the array; with the surface wet, as far as that can be had. Nobody wets an array for it.",
  continuity: "Continuity",
  notSaid: "not said",
  insulation: "Insulation",
  surface: "Surface",
  readingsWithUnits: "Readings, with units",
  aStopStands: (stop: string) => `A stop stands: ${stop}`,
  onlyWhereTheAlert:
    "Only where the alert was wrong. A release says nothing of the site’s state, stays on record under your name, and is refused while a stop stands.",
  why: "Why",
  licence: "Licence",
  iAmAQualified: "I am a qualified person",
  choose: "choose",
} as const;

export const MAKE_SAFE_PANEL = {
  madeSafeBeforeOpened: "Made safe before: opened",
  ended: ", ended",
  makeSafeOf: (openedAt: string) => `Make safe of ${openedAt}`,
  makeSafe: "Make safe",
  hasIt: (hasIt: string) => `${hasIt} has it`,
  nobodyHasItYet: "Nobody has it yet",
  keepPeopleOffAnd:
    "Keep people off and reset nothing, from afar or here. Isolation stops AC and inverter current only: metal on the module side stays live in light. A qualified person and the local authority decide.",
  nameNotRecorded: "name not recorded",
  numberNotRecorded: "number not recorded",
  emergencyNumber: (emergency: string) => `; emergency number ${emergency}`,
  owner: (name: string, phone: string, text: string) => `Owner: ${name}, ${phone}${text}`,
  allThatHappened: (events: number) => `All that happened (${events})`,
  photoOfTheLock: "Photo of the lock",
} as const;

export const MAKE_SAFE_STEP_FORM = {
  iHaveIt: "I have it",
  theOwnerWasTold: "The owner was told",
  isolatedAndLocked: "Isolated and locked",
  repaired: "Repaired",
  keepTheTests: "Keep the tests",
  iAuthoriseReEnergising: "I authorise re-energising",
  didTheFixesHold:
    "Did the fixes hold, below, keeps the watch: it ends by itself when every repair since the alert is known to have held. Until then the site is under watch, and a further hazard opens a new emergency.",
  aFurtherRepairAt: "A further repair, at this or another place",
  keepTheFurtherRepair: "Keep the further repair",
  releaseByHand: "Release by hand",
  yourName: "Your name",
} as const;

export const MAKE_SAFE_STEP = {
  writeYourNameWithout: "Write your name: without one a step does not count.",
  writeTheNumberOf: "Write the number of the lock.",
  chooseTheCauseThat: "Choose the cause that was repaired.",
  sayHowContinuityAnd: "Say how continuity and insulation came out, and how wet the surface was.",
  takeAPhotoOf: "Take a photo of the lock.",
  theServerAnswered: (status: number) => `The server answered ${status}.`,
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

export const SITES_NOT_FOUND = {
  noSuchSiteOr: "No such site, or not scored yet",
  rightAfterAnImport:
    "Right after an import a new site takes a little while to get its first score. If it stays away, look at the import.",
  toTheRankedSites: "To the ranked sites",
  toTheImports: "To the imports",
} as const;

export const SITES_ONE_PAGE = {
  site: "Site",
} as const;

export const PATH_CONDUCTORS = {
  meetsTheMinimum: "✓ meets the minimum",
  cannotTell: "? cannot tell",
  editionNotKnown: "? edition not known",
  conductorsByTheCode: "Conductors by the code",
  theSitesCodeEdition: "The site's code edition is not recorded, so nothing is judged.",
  byTheEditionOf: (edition: string) =>
    `By the ${edition} edition of the NEC. The local authority decides which edition applies.`,
  conductorsAndTheirMinimum: "Conductors and their minimum sizes",
  conductor: "Conductor",
  recordedMinimum: "Recorded / minimum",
  recorded: "Recorded",
  judgement: "Judgement",
  minimum: (required: string) => `minimum ${required}`,
  whatElseToLook: (looks: number) => `What else to look for along them (${looks}): no record tells it`,
  resistanceOfEachFrame: "Resistance of each frame to the service ground, and what a DC fault would put on it",
} as const;

export const PATH_DRAWING = {
  bondingPathTheTable: (report: string) => `Bonding path: ${report}. The table of links says the same.`,
  piecesOfMetalLinks: (nodes: number, counts: string) => `${nodes} pieces of metal, links ${counts}`,
} as const;

export const PATH_EDIT_FIELDS = {
  madeBy: "Made by",
  conductorSize: "Conductor size",
  materialCopperCladAluminum: "Material (copper-clad: aluminum)",
  listedForWhatIt: "Listed for what it joins",
  electrode: "Electrode",
  lengthOfTheElectrode: "Length of the electrode",
  separateArrayElectrode: "Separate array electrode",
  battery: "Battery",
  electrodeConductorGecSize: "Electrode conductor (GEC), size",
  electrodeConductorMaterial: "Electrode conductor, material",
  serviceConductorsSize: "Service conductors, size",
  codeEdition: "Code edition",
  equipmentGroundingConductorEgc: "Equipment grounding conductor (EGC), size",
  egcMaterial: "EGC, material",
  overcurrentDeviceAcSide: "Overcurrent device, AC side",
  groundingOfTheDc: "Grounding of the DC side",
  serviceGroundBus: "Service ground bus",
  bondedTo: "Bonded to",
  bondedBy: "Bonded by",
  hardwareListedForModule: "Hardware listed for module and rail",
  overcurrentDeviceAOr: "Overcurrent device, A, or none",
  suchAsOrNone: "such as 15, or none",
  combiner: "Combiner",
  whatItIs: "What it is",
  whatPeopleCallIt: "What people call it",
  standsInTheLink: "Stands in the link",
  placeAlongThatLink: "Place along that link, from the array",
  orStandsBesideThe: "Or stands beside the way, bonded to",
  belongsToSection: "Belongs to section",
  belongsToInverter: "Belongs to inverter",
  from: "From",
  to: "To",
} as const;

export const PATH_EDIT_FORM = {
  notRecorded: "not recorded",
  suchAsOr250kcmil: "such as 8, 1/0 or 250kcmil",
} as const;

export const PATH_EDITOR = {
  addAPieceOf: "Add a piece of metal …",
  addAFurtherBond: "Add a further bond …",
  changeWhatIsRecorded: "Change what is recorded of the path",
  forWhatSomebodyKnows:
    "For what somebody knows or has seen: it says how things are meant to be, and verifies nothing. Each change is kept with your name and the old value, and the site is scored anew. A later import of a file that holds the same column sets it again.",
  what: "What",
  choose: "choose …",
  thatIsWhatIs: "That is what is recorded already: nothing was changed.",
  shortNameNotUsed: "Short name, not used yet at this site",
  whyAndWhoSaw: "Why, and who saw it",
  save: "Save",
  takeItAway: "Take it away",
  savedWithYourName: "Saved with your name. The path below is new already; the site is being scored anew.",
} as const;

export const PATH_FINDINGS = {
  notConnectedToThe: "Not connected to the service ground",
  nothingIsKnownTo: (report: string) =>
    `Nothing is known to be cut off. ${report} That is no clearance: what nobody measured may be open.`,
  hangsOnOneLink: "Hangs on one link",
  correctItUnderChange: (problem: string) =>
    `${problem} Correct it under “Change what is recorded of the path”, or in the file of sections.`,
  everyPieceHasA: "Every piece has a way to ground over verified links.",
  pieceReaches: "piece reaches",
  piecesReach: "pieces reach",
  itOnlyIfA: (unproven: number, text: string) => `${unproven} ${text} it only if a link holds that nobody verified.`,
  noSingleLinkCarries: "No single link carries a section, inverter, electrode or battery alone.",
  is: "is",
  are: "are",
  withoutItCutOff: (name: string, loses: string, text: string) => `${name}: without it ${loses} ${text} cut off.`,
  linkCarries: "link carries",
  linksCarry: "links carry",
  moreOnlyTheRacking: (singleMetal: number, text: string) =>
    `${singleMetal} more ${text} only the racking, conduit and flashing of a section.`,
  jumpersToPropose: "Jumpers to propose",
  noLinkIsRecorded: "No link is recorded as failed or missing, so none is proposed.",
} as const;

export const PATH_HISTORY = {
  nothingOfThisPath: "Nothing of this path was changed by hand yet.",
  changesByHand: "Changes by hand",
  changesOfThePath: "Changes of the path by hand",
  whenWho: "When, who",
  what: "What",
  beforeAndAfter: "Before and after",
  setBack: "Set back",
  site: "Site",
  done: "done",
  setBackChange: (seq: number) => `Set back change ${seq}`,
  notRecorded: "not recorded",
  takenAway: "Taken away",
  added: "Added",
} as const;

export const PATH_MARK = {
  notVerified: "not verified",
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

export const REASONS = {
  strongestReasonForA: "Strongest reason for a defect",
  nothingRecordedOfThis: "Nothing recorded of this site speaks for one.",
  strongestReasonAgainst: "Strongest reason against",
  nothingRecordedOfThisSite: "Nothing recorded of this site speaks against one.",
  decibans: (decibans: string, source: string) => `(${decibans} decibans, ${source})`,
} as const;

export const SCORE_HISTORY = {
  historyOfItsProbability: "History of its probability",
  oneScoreSoFar: "One score so far; the next import, inspection or visit that tells something adds another.",
  probabilityOfABonding: "Probability of a bonding or grounding defect, score by score",
  theLineIsThe:
    "The line is the probability of a bonding or grounding defect after each score, the shaded part its band. A narrowing band means that more is known, not that less is wrong.",
  computed: "Computed",
  recordsUpTo: "Records up to",
  bondingDefect: "Bonding defect",
  theParametersOrThe: "The parameters or the program changed too, so not all of it is news of this site.",
  noEvidenceMovedEnough: "No evidence moved enough to be named.",
  decibansFrom: (decibans: string, source: string) => `${decibans} decibans from ${source}:`,
  decibansFromAllElse: (rest: string) => `${rest} decibans from all else`,
} as const;

export const SITE_RECORDS_TABLES = {
  records: "Records",
  asTable: (of: string) => `${of}, as a table`,
  timesIn: (zone: string) => `Times in ${zone}.`,
  inspections: (inspections: number) => `Inspections (${inspections})`,
  neverInspectedAGap: "Never inspected: a gap, not a pass.",
  photos: (photos: number) => `Photos (${photos})`,
  noPhotoOfA: "No photo of a visit.",
  repairs: (repairs: number) => `Repairs (${repairs})`,
  noRepairOnRecord: "No repair on record.",
  day: "Day",
  cause: "Cause",
  section: "Section",
  inverter: "Inverter",
  action: "Action",
  confirmed: "Confirmed",
  testedAfter: "Tested after",
  newestShown: (episodes: number) => `, newest ${episodes} shown`,
  groundFaultEpisodes: (episodesTotal: number, text: string) => `Ground-fault episodes (${episodesTotal}${text})`,
  noGroundFaultEpisode: "No ground-fault episode in the log.",
  onset: "Onset",
  end: "End",
  inverters: "Inverters",
  rows: "Rows",
  weather: "Weather",
  atRisk: "At risk",
  clearedOnDrying: "Cleared on drying",
  notKnown: "not known",
  cannotTell: (text: string) => `cannot tell${text}`,
  inverters2: (inverters: number) => `Inverters (${inverters})`,
  noInverterOnRecord: "No inverter on record.",
  topology: "Topology",
  detector: "Detector",
  acOvercurrentDevice: "AC overcurrent device",
  faultCodes: "Fault codes",
  arraySections: (sections: number) => `Array sections (${sections})`,
  noArraySectionOn: "No array section on record, so which metal is bonded to which is not known.",
  facing: "Facing",
  bond: "Bond",
  bondedTo: "Bonded to",
  hardwareListed: "Hardware listed",
  fromNorth: "° from north",
  coverage: "Coverage",
  warrantiesPoliciesAndDeadlines: "Warranties, policies and deadlines of this site",
  warrantiesAndPolicies: (coverage: number) => `Warranties and policies (${coverage})`,
  noWarrantyOrPolicy: "No warranty or policy on record.",
  kind: "Kind",
  from: "From",
  limit: "Limit",
  notice: "Notice",
  readTheContractNotify: "read the contract, notify now",
  daysFromDiscovery: (noticeDays: number) => `${noticeDays} days from discovery`,
  theContractItselfGoverns: "The contract itself governs. This is not legal advice.",
  photo: (i: number) => `photo ${i}`,
  when: "When",
  check: "Check",
  where: "Where",
  outcome: "Outcome",
  reading: "Reading",
  method: "Method",
  surface: "Surface",
  note: "Note",
  photo2: "Photo",
  notRecorded: "not recorded",
  awg: (egcMaterial: string) => `AWG ${egcMaterial}`,
  to: "To",
  section2: (sectionId: string) => `, section ${sectionId}`,
  inverter2: (inverterId: string) => `, inverter ${inverterId}`,
  by: "By",
  section3: (sectionId: string) => `section ${sectionId}`,
  inverter3: (inverterId: string) => `inverter ${inverterId}`,
} as const;

export const SITE_VIEW = {
  rankedSites: "Ranked sites",
  theAnswer: "The answer",
  kwDc: (dcKw: number) => `${dcKw} kW DC`,
  recordsUpTo: (timeZone: string) => `· ${timeZone} · records up to`,
  rainAndFaults: "Rain and faults",
  twelveMonths: "Twelve months",
  rainFilmOfWater: "Rain, film of water and ground faults",
  noTimeLineYet: "No time line yet.",
  records: "Records",
  visits: "Visits",
  visitReports: "Visit reports",
  coverage: "Coverage",
  evidenceFile: "Evidence file",
  history: "History",
  evidence: "Evidence",
  itemByItem: "Item by item",
  whyEvidenceInDecibans: "Why: evidence, in decibans",
  eachItemMovesThe:
    "Each item moves the odds of a bonding or grounding defect; together they give exactly the probability above. Ten",
  decibans: "decibans",
  makeItTenTimes: "make it ten times as likely. Each figure opens how it is reckoned.",
  probabilityOfABonding: "Probability of a bonding or grounding defect",
  bondingOrGroundingDefect: "Bonding or grounding defect",
  atLeastOneCause:
    "At least one cause of the bonding family is there now. The bar runs from none to certain; the shaded part is the",
  band: "band",
  probabilityThatTouchableMetal: "Probability that touchable metal may be energised",
  metalThatMayBe: "Metal that may be energised",
  aDefectAndA:
    "A defect and a leak at once. Another question than the one beside it: a defect alone is silent until something leaks.",
  queuedVisit: "Queued visit",
  visitInTheQueue: (rank: number) => `Visit ${rank} in the queue`,
  aboutHOnSite: (hours_on_site: number) => `about ${hours_on_site} h on site`,
  expectedToAvoidA: (expected_loss_avoided: string, visit_cost: string) =>
    `expected to avoid ${expected_loss_avoided} a year for ${visit_cost}`,
  checklist: "Checklist",
  onWatch: "On watch",
  onWatch2: "On watch.",
  whatWouldChangeIt: "What would change it:",
  gaps: "Gaps",
  noGapIsKnown: "No gap is known. That is no clearance.",
  notes: "Notes",
  none: "None.",
  howThisScoreCame: "How this score came about",
  computed: "Computed",
  from: "from",
  inputParametersProgram: (inputHash: string, parameterVersion: string, codeVersion: string) =>
    `input ${inputHash}, parameters ${parameterVersion}, program ${codeVersion}`,
  faultRowsGroundFault: (faultRows: string, episodesTotal: string) =>
    `${faultRows} fault rows, ${episodesTotal} ground-fault episodes`,
  howTheLogWas: "How the log was read, and which hours count",
  faultLog: "Fault log",
  unitHoursLeftOut: "Unit-hours left out",
} as const;

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

export const WORKINGS = {
  kwDc: (dcKw: number) => `${dcKw} kW DC`,
} as const;
