/** Words of exposure, by the file that shows them: what one does not show is not sent to its browser. */

export const ASSUMPTIONS = {
  whatItRestsOn: "What it rests on",
  aDefectOfWorkmanship: (of: string, of2: string, of3: string, of4: string) =>
    `A defect of workmanship or hardware strikes sites of one installer and of one hardware batch together: they have ${of} and ${of2} of its spread in common (a Gaussian copula with one factor a group). Those two numbers are judgement: nothing learns them from your own sites. Repairs, property losses and claims of injured persons are lognormal. Energy of trips is taken from the log and always lost. Each contract answers or not by its own chance: that of its kind, times the share that each broken or unknown condition leaves of it, times the chance that the evidence on file is accepted (from ${of3} with nothing to ${of4} with every item), times that of notice in time. Limits for the year are shared by the sites of a policy as they claim. The ± is one standard error from having drawn finitely many years; it says nothing of whether the assumptions are right.`,
  allNumbers: (rows: number) => `All ${rows} numbers`,
  changeThemOn: "Change them on",
  parameters: "Parameters",
  groupLossEveryChange: ", group “loss”: every change is a version with its reason, and the scores and figures follow.",
  numbersOfTheLoss: "Numbers of the loss model",
  number: "Number",
  value: "Value",
  unit: "Unit",
  whereItComesFrom: "Where it comes from",
} as const;

export const BOOK_TABLE = {
  books: "Books",
  book: "Book",
  allBooks: "All books",
  sites: "Sites",
  expectedNet: "Expected, net",
  expectedGross: "Expected, gross",
  valueAtRisk: "Value at risk, 95 %",
  expectedShortfall: "Expected shortfall, 97.5 %",
  defects: "Defects",
  expectedToFoundOpen: (value: string, low: number, high: number, open: number, put_right: number) =>
    `${value} expected (${low} to ${high}); found: ${open} open, ${put_right} put right`,
  theExpectedLossIs: (number: string) =>
    `The expected loss is more than the ${number} % value at risk: most years cost less than expected, and a few rare ones, with a fire or an injury, cost so much that they carry it. Look at the expected shortfall.`,
  tailOfTheComing: "Tail of the coming year",
  level: "Level",
  valueAtRisk2: "Value at risk",
  expectedShortfall2: "Expected shortfall",
} as const;

export const CAUTIONS = {
  beforeYouRelyOn: "Before you rely on this",
} as const;

export const CURRENCIES = {
  currencies: "Currencies",
  noSiteOrContract: "No site or contract is recorded in another currency.",
  everythingIsShownIn: (own: string, text: string) => `Everything is shown in ${own}. ${text}`,
  sitesContracts: (currency: string, sites: number, contracts: number) =>
    `${currency} (${sites} sites, ${contracts} contracts)`,
  noRateIntoThese: (own: string, text: string) =>
    `No rate into ${own}: ${text}. These sums are not counted until a rate is set.`,
  takeAway: "Take away",
  theRateOf: (currency: string) => `the rate of ${currency}`,
  currency: "Currency",
  threeLetters: "three letters",
  forOneUnitOf: (own: string) => `${own} for one unit of it`,
  setTheRate: "Set the rate",
} as const;

export const EXCEEDANCE_CHART = {
  chanceThatTheComing: (currency: string) => `Chance that the coming year costs more than a sum, ${currency}`,
  readAcrossFromA: (value: string) =>
    `Read across from a chance to the loss that the coming year exceeds with it: one year in a hundred costs more than ${value}, net of what contracts may pay. Diamonds mark value at risk.`,
  chanceOfMore: "Chance of more",
  netLossOfThe: "Net loss of the year",
} as const;

export const EXPOSURE_VIEW = {
  exposure: "Exposure",
  whatTheOwnerStands:
    "What the owner stands to lose in the coming year if nobody goes, by book of sites, before and after what warranties and policies may pay.",
  theFiguresAppearHere: "The figures appear here once the sites are scored and the coming year is drawn.",
  booksAtAGlance: "Books at a glance",
  inBracketsTheSame: (value: string, value2: string) =>
    `In brackets: the same with every site's bonding probability at its 5 % and 95 % point at once, because the parameters behind them are one set. Of ${value} gross, ${value2} may be recovered.`,
  asTheOwnersOf: "As the owners of the books see them",
  theComingYearAll: "The coming year, all books",
  whatIf: "What if",
  sitesWithTheGreatest: "Sites with the greatest part in the tail",
} as const;

export const MISSING_PROOF = {
  notRecorded: "not recorded",
  termOfTheContract: "term of the contract",
  whatMissingProofCosts: "What missing proof costs",
  howMuchTheRecovery:
    "How much the recovery expected over the coming year would rise if that one thing were there at all of its sites, everything else as it is. All of it together:",
  whichIsNotThe:
    ", which is not the sum, because one works on another. Only where a contract counts today; the weights are judgement and stand below.",
  what: "What",
  state: "State",
  sites: "Sites",
  worthAYear: "Worth a year",
} as const;

export const EXPOSURE_PAGE = {
  exposure: "Exposure",
} as const;

export const RUN_PANEL = {
  howTheRunStands: (status: number) => `How the run stands could not be read (${status}).`,
  howTheseFiguresWere: "How these figures were made",
  stale: "Stale.",
  scoresContractsOrParameters: "Scores, contracts or parameters have moved since these figures were drawn. ",
  sitesWaitForA: (staleSites: number) =>
    `${staleSites} sites wait for a new score; the figures follow once they have it.`,
  drawingTheComingYear: (done: string, done2: string) => `Drawing the coming year: ${done} of ${done2} years`,
  progressOfTheDraw: "Progress of the draw",
  stop: "Stop",
  yearsDrawnParameters: (text: string | undefined, computedAt: string, parameters: string | null | undefined) =>
    `${text} years drawn, ${computedAt}, parameters ${parameters}. `,
  nothingWasDrawnYet: "Nothing was drawn yet. ",
  theNewestRun: (says: string | null) => `The newest run: ${says} `,
  drawAgain: "Draw again",
} as const;

export const SERIAL_TABLE = {
  serialDefectsByHardware: "Serial defects by hardware batch",
  chanceThatTheHardware:
    "Chance that the hardware of at least so many sites of a batch does not bond (open or high-resistance bond), over the same drawn years. Where a contract has a serial-defect clause, its own count and share govern.",
  batch: "Batch",
  sites: "Sites",
  expectedWithADefect: "Expected with a defect",
  fromSoMany: "From so many",
  chanceStandardError: "Chance (± standard error)",
} as const;

export const SITE_TABLE = {
  sitesByTheirPart: "Sites by their part in the tail",
  site: "Site",
  bondingDefect: "Bonding defect",
  expectedNet: "Expected, net",
  recovered: "Recovered",
  partOfTheExpected: "Part of the expected shortfall, 97.5 %",
  partOfTheTail: "Part of the tail",
} as const;

export const TREND = {
  thereIsOneMonth: " There is one month of scores so far; the trend begins with the next.",
  trend: "Trend",
  sitesExpectedToHave: "Sites expected to have a bonding or grounding defect, by month",
  fromEachSitesLast: (young: string) =>
    `From each site's last score of the month. The line across each mark runs from its 5 % to its 95 % point.${young}`,
  month: "Month",
  sitesScored: "Sites scored",
  defectsExpectedTo: "Defects expected (5 % to 95 %)",
} as const;

export const WHAT_IF_ANSWER = {
  visiting: "Visiting",
  inspecting: "Inspecting",
  coverFor: "Cover for",
  noAnswer: "No answer:",
  site: "site",
  sites: "sites",
  sparedForEachSpent: (cost: string) => `; ${cost} spared for each 1 spent`,
  takesOffTheExpected: (spared: string, before: string, cost: string, text: string) =>
    `takes ${spared} off the expected net loss of the year, of ${before}. It costs ${cost}${text}.`,
  whatChangesInThe: "What changes in the tail",
  figure: "Figure",
  valueAtRisk: "Value at risk",
  expectedShortfall: "Expected shortfall",
  now: "Now",
  change: "Change",
  whatAVisitFinds:
    "What a visit finds is mended; what it misses stays. A hazard is made safe whatever such a sum says.",
} as const;

export const WHAT_IF_FIELDS = {
  installer: "Installer",
  sites: (installer: string, sites: number) => `${installer} (${sites} sites)`,
  howManyFromThe: "How many, from the top of the list",
  orTheseSiteIds: "Or these site ids",
  cover: "Cover",
  propertyInsurance: "property insurance",
  liabilityInsurance: "liability insurance",
  limit: (currency: string) => `Limit, ${currency}`,
  theLimitIsFor: "The limit is for",
  eachLoss: "each loss",
  theYearAllSites: "the year, all sites together",
  deductibleALoss: (currency: string) => `Deductible, ${currency} a loss`,
  premiumASiteAnd: (currency: string) => `Premium, ${currency} a site and year`,
} as const;

export const WHAT_IFS = {
  theServerAnswered: (status: number) => `The server answered ${status}.`,
  whatIf: "What if",
  doThis: "Do this",
  visitSites: "visit sites",
  inspectAllOfAn: "inspect all of an installer",
  buyCover: "buy cover",
  ask: "Ask",
  drawingTheSameYears: (done: string, total: string) => `Drawing the same years again with it: ${done} of ${total}`,
  progressOfTheWhat: "Progress of the what-if",
  stop: "Stop",
} as const;

export const BOOK_VIEW = {
  exposure: "Exposure",
  theComingYear: "The coming year",
  whatIf: "What if",
  sites: "Sites",
  theFirstOfAre: (sites: number, sites2: number) => ` The first ${sites} of ${sites2} are shown.`,
  thePartsAreEach: (text: string) =>
    `The parts are each site's mean loss in the book's worst years; together they give its expected shortfall.${text}`,
  nothingWasDrawnOf: "Nothing was drawn of this book yet.",
  expectedLossOfThe: "Expected loss of the coming year, net",
  grossAndWhatMay: "Gross, and what may be recovered of it",
  sitesExpectedToHave: "Sites expected to have a bonding or grounding defect",
  to: (value: string, low: string, high: string) => `${value} (${low} to ${high})`,
  failedChecksOnRecord: "Failed checks on record",
  openFollowedByA: (open: number, put_right: number, held: number) =>
    `${open} open, ${put_right} followed by a pass or a repair; ${held} repairs known to have held`,
} as const;

export const BOOKS_ONE_PAGE = {
  exposureOfABook: "Exposure of a book",
} as const;

export const CAUSE_LOSS_TABLE = {
  repair: "Repair",
  property: "Property",
  people: "People",
  energy: "Energy",
  delay: "Delay",
  intervalNotComputedYet: "interval not computed yet",
  lossByCause: "Loss by cause",
  expectationsForTheComing: (currency: string) =>
    `Expectations for the coming year if nobody goes, in ${currency}, each weighted by the cause's probability. “Delay” is what a year adds to the repair.`,
  cause: "Cause",
  probability: "Probability",
  gross: "Gross",
  recovered: "Recovered",
  net: "Net",
} as const;

export const CONTRACT_TABLE = {
  whatMayRecoverIt: "What contracts may pay",
  noContractCountsAt: "No contract counts at this site.",
  howMuchOfA:
    "How much of a claim is counted on is the product of four factors, by judgement: how far such a contract answers at all, what its conditions as met, broken or unknown leave of that, how far the evidence on file is accepted, and what is left by the time of the notice.",
  contractsThatCount: "Contracts that count",
  contract: "Contract",
  ends: "Ends",
  limit: "Limit",
  noneRecorded: "none recorded",
  deductible: "Deductible",
  answersAtAll: "Applies",
  countedOn: "= counted on",
  expectedAYear: "Expected a year",
} as const;

export const COUNTED_AS = {
  exposure: "Exposure",
  onRecordTwice: "On record twice.",
  thisSiteAnd: "This site and",
  standAtOnePlace:
    "stand at one place and name the same inverter, so its money is counted once, there. Nothing is taken off",
  itsRecords: "its records",
  or: "or",
  itsContracts: "its contracts",
  ifTheyAreTwo: ". If they are two sites, correct the serial number or the coordinates of one and import it again.",
} as const;

export const EXPOSURE_SITE = {
  books: "Books",
  exposure: "Exposure",
  notRecorded: "not recorded",
  installerHardwareBatch: (site_id: string, installer: string, batch: string) =>
    `${site_id} · installer ${installer} · hardware batch ${batch}`,
  recordsUpTo: "· records up to",
  whyItIsScored: "why it is scored so",
  stale: "Stale.",
  scoresContractsOrParameters: "Scores, contracts or parameters have moved since these figures were drawn.",
  expectedLossOfThe: "Expected loss of the coming year, net",
  grossAndWhatMay: "Gross, and what may be recovered of it",
  bondingOrGroundingDefect: "Bonding or grounding defect",
  partOfTheBooks: "Part of the book's expected shortfall, 97.5 %",
  partOfTheAccounts: "Part of the account's",
  whatIsMissingOr: "What is missing or assumed",
  assumed: (a: string) => `Assumed: ${a}.`,
} as const;

export const SITES_ONE_PAGE = {
  exposureOfASite: "Exposure of a site",
} as const;

export const PROOF_TABLE = {
  whatMissingProofCosts: "What missing proof costs",
  evidenceCompleteSoAbout: (round: number, round2: number, all: string) =>
    `Evidence ${round} % complete, so about ${round2} % likely to be accepted, by judgement. Worth: rise of the recovery expected over the coming year with that one thing, everything else as it is; all of it together ${all}, which is not the sum.`,
  contractsConditionsAndEvidence: "Contracts, conditions and evidence",
  nothingThatAContract: "Nothing that a contract here hangs on is missing on record. The contract may ask for more.",
  what: "What",
  state: "State",
  whyAndHowTo: "Why, and how to get it",
  contracts: "Contracts",
  worthAYear: "Worth a year",
} as const;
