/** Words of coverage, by the file that shows them: what one does not show is not sent to its browser. */

export const BOOK_PAPERS = {
  madeItIsThe: "Made; it is the first of the list.",
  monthlyReportsOf: (book: string) => `Monthly reports of ${book}`,
  onePageAsPdf: "One page as PDF. When a month is over the worker makes its report by itself; others are made here.",
  makeTheReport: "Make the report",
  month: "Month",
  bySchedule: "by schedule",
  madeBy: (madeBy: string) => `made by ${madeBy}`,
  sha: (sha256: string) => `, SHA-256 ${sha256}…`,
  noneYet: "None yet.",
  calendarLinkOf: (book: string) => `Calendar link of ${book}`,
  aSecretAddressIn:
    "A secret address in iCalendar form for any calendar program. Whoever has it reads the deadlines of this book and nothing else.",
} as const;

export const CONTRACT_FORM = {
  notRecorded: "not recorded",
  stored: "Stored.",
  storeTheChange: "Store the change",
  enterTheContract: "Enter the contract",
  numberOfYourOwn: "Number of your own",
  kind: "Kind",
  provider: "Provider",
  policyOrContractNumber: "Policy or contract number",
  startsOn: "Starts on",
  endsOn: "Ends on",
  limit: "Limit",
  deductible: "Deductible",
  currencyThreeLetters: "Currency (three letters)",
  limitCounts: "Limit counts",
  trigger: "Trigger",
  noticeDaysFromDiscovery: "Notice, days from discovery",
  noticeTo: "Notice to",
  proofOfLossDays: "Proof of loss, days",
  suitMonths: "Suit, months",
  exclusionsBetweenSemicolons: "Exclusions, between semicolons",
  conditionsInTheContract: "Conditions in the contract",
  leaveEmptyWhatThe: "Leave empty what the contract does not say or you have not read: empty is not known, never zero.",
} as const;

export const CONTRACT_TABLE = {
  registerOfContracts: "Register of contracts",
  contract: "Contract",
  site: "Site",
  period: "Period",
  limitAndDeductible: "Limit and deductible",
  limit: "Limit",
  notice: "Notice",
  otherTerms: "Other terms",
  papers: "Papers",
  number: (policyNumber: string) => `, number ${policyNumber}`,
  to: (startsOn: string, endsOn: string) => `${startsOn} to ${endsOn}`,
  triggerNotRecorded: "trigger not recorded",
  deductible: (deductibleAmount: string) => `deductible ${deductibleAmount}`,
  readTheContractNotify: "read the contract, notify now",
  daysFromDiscovery: (noticeDays: number) => `${noticeDays} days from discovery`,
  to2: (noticeTo: string) => `to ${noticeTo}`,
  notRecorded: "not recorded",
  noCurrency: "(no currency)",
  noneRecorded: "none recorded",
  conditions: (text: string) => `Conditions: ${text}`,
  exclusions: (text: string) => `Exclusions: ${text}`,
  proofOfLossSuit: (proofOfLossDays: string, suitLimitMonths: string) =>
    `Proof of loss: ${proofOfLossDays}; suit: ${suitLimitMonths}`,
  noneAttached: "none attached",
  page: (page: number) => `, page ${page}`,
} as const;

export const DEADLINE_TABLE = {
  deadlines: "Deadlines",
  due: "Due",
  site: "Site",
  what: "What",
  whyAndWhatTo: "Why and what to send",
  expectedRecovery: "Expected recovery",
  noDayKnown: "no day known",
  lapseRisk: "Lapse risk",
  whatToSend: "What to send",
} as const;

export const DEADLINE_WORDS = {
  prudentDayToNotify: "Prudent day to notify",
  notice: "Notice",
  proofOfLoss: "Proof of loss",
  timeToBringSuit: "Time to bring suit",
  notifyNow: "notify now",
  overSinceYesterday: "over since yesterday",
  overForDays: (text: number) => `over for ${text} days`,
  dayLeft: "1 day left",
  daysLeft: (daysLeft: number) => `${daysLeft} days left`,
  sent: (sentOn: string | null) => `sent ${sentOn}`,
} as const;

export const LINKS = {
  madeCopyItNow: "Made. Copy it now: it is not shown again.",
  makeALink: "Make a link",
  forWhom: "For whom",
  daysItOpens: "Days it opens",
  putThisInstallationsAddress:
    "Put this installation's address before it. While the server answers on this machine only, the link opens here only.",
  links: "Links",
  for: "For",
  made: "Made",
  by: (madeBy: string) => `by ${madeBy}`,
  opensUntil: "Opens until",
  state: "State",
  revoke: "Revoke",
  revoked: "revoked",
  done: "done",
} as const;

export const COVERAGE_PAGE = {
  coverage: "Coverage",
} as const;

export const POST_FORM = {
  storing: "Storing …",
} as const;

export const REGISTER_VIEW = {
  coverage: "Coverage",
  allBooks: "all books",
  warrantiesAndPoliciesOf: (book: string, sites: number, bare: number, today: string) =>
    `Warranties and policies of ${book}: ${sites} sites, ${bare} of them without a contract on record. Today is ${today} (UTC); days count in each site's own zone.`,
  whichContracts: "Which contracts",
  book: "Book",
  allBooks2: "All books",
  findSiteContractOr: "Find site, contract or provider",
  show: "Show",
  calendar: "Calendar",
  deadlines: (deadlinesTotal: number) => `Deadlines (${deadlinesTotal})`,
  noDeadlineIsKnown:
    "No deadline is known: nothing is entered as discovered, and the model suspects nothing at a site with a contract in force. That is no clearance.",
  theFirstAreShown: (deadlines: number) => `The first ${deadlines} are shown; choose a book to see fewer at once.`,
  register: (contractsTotal: number) => `Register (${contractsTotal})`,
  noContractIsRecorded: "No contract is recorded here. Import coverage.csv, or enter one on the page of a site.",
  noContractFitsWhat: "No contract fits what was asked for.",
  theFirstAreShownUse: (contracts: number) => `The first ${contracts} are shown; use the search to reach the others.`,
  chooseABookFor: "Choose a book for its monthly reports and its calendar link.",
  toSettle: "To settle",
  toSettle2: (troubles: number) => `To settle (${troubles})`,
  more: (troubles: number) => `${troubles} more.`,
} as const;

export const REMINDER_LIST = {
  reminders: "Reminders",
  remindersNotReadYet: (reminders: number) => `Reminders not read yet (${reminders})`,
  yourNameForThe: "Your name, for the record",
  fromTheModelsSuspicion: (suspicions: number) =>
    `${suspicions} from the model's suspicion alone: nobody has discovered anything there`,
  written: "Written",
  iHaveReadIt: "I have read it",
} as const;

export const SEND_PAPER = {
  theServerAnswered: (status: number) => `The server answered ${status}.`,
} as const;

export const MONTH_VIEW = {
  monday: "Monday",
  tuesday: "Tuesday",
  wednesday: "Wednesday",
  thursday: "Thursday",
  friday: "Friday",
  saturday: "Saturday",
  sunday: "Sunday",
  coverage: "Coverage",
  deadlinesIn: (name: string) => `Deadlines in ${name}`,
  allBooks: "All books",
  daysAreEachSites: (book: string, deadlines: number) =>
    `${book}. Days are each site's own. ${deadlines} in this month.`,
  month: "Month",
  monthBefore: "Month before",
  thisMonth: "This month",
  nextMonth: "Next month",
  withoutADay: "Without a day",
  readTheContractNotify: (undated: number) => `Read the contract, notify now (${undated})`,
  moreAreInThe: (undated: number) => `${undated} more are in the list on the Coverage page.`,
  deadlinesInByDay: (name: string) => `Deadlines in ${name} by day`,
  today: " today",
  more: (deadlines: number) => `${deadlines} more`,
} as const;

export const CALENDAR_PAGE = {
  deadlinesByMonth: "Deadlines by month",
} as const;

export const COMPLETENESS_TABLE = {
  completenessOfTheEvidence: "Completeness of the evidence",
  completenessOfTheEvidence2: (score: number) => `Completeness of the evidence: ${score} %`,
  ofAClaimWere: (worthSays: string, accepted: number) =>
    `${worthSays} Of a claim, were everything else in order, the evidence as it is lets ${accepted} % be counted on, by judgement. Missing items that a visit can get are on its checklist.`,
  itemsOfEvidence: "Items of evidence",
  item: "Item",
  there: "On file",
  yes: "✓ yes",
  no: "✕ no",
  whatIsThereOr: "What is there or missing",
  worthOfGettingIt: "Worth of getting it",
} as const;

export const CONDITIONS_TABLE = {
  conditions: "Conditions",
  conditionsAgainstTheRecords: "Conditions against the records",
  absenceOfEvidenceIs: "Absence of evidence is unknown, never met. The contract says what a condition means there.",
  eachCondition: "Each condition",
  condition: "Condition",
  state: "State",
  why: "Why",
  recordBehindIt: "Record behind it",
  whatRestoresOrSettles: "What restores or settles it",
  worthOfHavingIt: "Worth of having it met",
  inAContractHere: "in a contract here",
  inNoContractOn: "in no contract on record",
  none: "none",
  nothingToDo: "nothing to do",
} as const;

export const CUSTODY = {
  entered: "Entered.",
  removedParts: "Removed parts",
  removedPartsAndTheir: (parts: number) => `Removed parts and their custody (${parts})`,
  aPartThatIs:
    "A part that is thrown away proves nothing. Photograph it where it sits, tag it, bag it, store it; both sign at each handover. On a claim site ask the carrier before anything is altered, unless people are in danger now.",
  enterARemovedPart: "Enter a removed part",
  enterThePart: "Enter the part",
  numberOnTheTag: "Number on the tag",
  whatItIs: "What it is",
  whereItSat: "Where it sat",
  takenOffAt: (timeZone: string) => `Taken off at (${timeZone})`,
  takenOffByFull: "Taken off by, full name",
  photoInPlaceBefore: "Photo in place, before it was taken off",
  satAtTakenOff: (placeFound: string) => `Sat at ${placeFound}; taken off`,
  by: (removedBy: string) => `by ${removedBy};`,
  photographedInPlace: "photographed in place",
  noPhotoInPlace: "no photo in place",
  heldBy: (heldBy: string) => `. Held by ${heldBy}.`,
  sealed: "sealed",
  notSealed: "not sealed",
  toKeptAtSigned: (from: string, to: string, storedAt: string, text: string, signedFrom: string, signedTo: string) =>
    `: ${from} to ${to}, kept at ${storedAt}, ${text}; signed ${signedFrom} and ${signedTo}`,
  handOver: (tag: string) => `Hand ${tag} over`,
  enterTheHandover: "Enter the handover",
  toFullName: "To, full name",
  keptAt: "Kept at",
  handedOverAt: (zone: string) => `Handed over at (${zone})`,
  bagSealed: "bag sealed",
  signatureOfTyped: (heldBy: string) => `Signature of ${heldBy}, typed`,
  signatureOfWhoTakes: "Signature of who takes it, typed",
} as const;

export const DISCOVERIES = {
  enteredAsDiscoveredOn: (on: string) => `Entered as discovered on ${on}. The contracts' days count from then.`,
  discoveries: "Discoveries",
  discovered: "Discovered",
  nothingIsEnteredAs: "Nothing is entered as discovered.",
  enterADiscovery: "Enter a discovery",
  aDiscoveryStartsThe:
    "A discovery starts the contracts' clocks and can be held against you. It takes the day on which it is entered, cannot be dated back and is never deleted. Where you are unsure, ask a lawyer first, and do not wait with that.",
  enterAsDiscoveredToday: "Enter as discovered today",
  whatWasDiscovered: "What was discovered",
  reasonWhoSawOr: "Reason: who saw or measured what",
  fullNameOfThe: "Full name of the person who says so",
  stored: "Stored.",
  discoveredOnEntered: (on: string) => `Discovered on ${on} (entered`,
  by: (by: string, reason: string) => `) by ${by}: ${reason}`,
  evidenceForThisClaim: (score: number) => `Evidence for this claim: ${score} % by weight.`,
  withdrawn: "Withdrawn",
  closed: "Closed",
  by2: (by: string, reason: string) => `by ${by}: ${reason}`,
  withdrawOrCloseIt: "Withdraw or close it",
  store: "Store",
  how: "How",
  closedTheClaimIs: "closed: the claim is done",
  withdrawnItWasNone: "withdrawn: it was none",
  reason: "Reason",
  fullName: "Full name",
} as const;

export const EVIDENCE_BUTTON = {
  theServerAnswered: (status: number) => `The server answered ${status}.`,
  oneZipASummary:
    "One ZIP: a summary as PDF, every record as CSV, weather, photos, papers and a manifest with the SHA-256 of each part. Its seal is entered in the audit log. The command verify checks it without a database.",
  downloadTheEvidenceFile: "Download the evidence file",
  cancel: "Cancel",
  itIsBeingMade: "It is being made …",
  receiving: (bytes: string) => `Receiving, ${bytes} …`,
  saved: (bytes: string) => `Saved, ${bytes}.`,
} as const;

export const NOTICES = {
  proofOfLoss: "proof of loss",
  byHand: "by hand",
  chooseThePaperThat: "Choose the paper that was sent.",
  recordedWithItsPaper: "Recorded with its paper.",
  notices: "Notices",
  noticesSent: (notices: number) => `Notices sent (${notices})`,
  underSentToBy: (
    kind: string,
    coverageId: string,
    sentOn: string,
    sentTo: string,
    method: string,
    recordedBy: string,
  ) => `${kind} under ${coverageId}, sent ${sentOn} to ${sentTo} by ${method}, recorded by ${recordedBy}`,
  aNoticeBelongsTo: "A notice belongs to a discovery and a contract; enter these first.",
  recordANoticeThat: "Record a notice that was sent",
  recordAsSent: "Record as sent",
  contract: "Contract",
  discovery: "Discovery",
  what: "What",
  sentOn: "Sent on",
  sentTo: "Sent to",
  byWayOf: "By way of",
  thePaperThatWas: "The paper that was sent (PDF or picture, at most 15 MB)",
} as const;

export const SITES_ONE_PAGE = {
  coverageOfASite: "Coverage of a site",
} as const;

export const PAPERS = {
  calibrationCertificate: "calibration certificate",
  chooseAFile: "Choose a file.",
  attached: "Attached.",
  papers: "Papers",
  papers2: (papers: number) => `Papers (${papers})`,
  page: (page: number) => `, page ${page}`,
  of: (coverageId: string) => ` of ${coverageId}`,
  kb: (kind: string, text: string, text2: string) => `${kind}${text}, ${text2} kB,`,
  by: (addedBy: string, text: string) => `by ${addedBy}${text}`,
  attachAPaper: "Attach a paper",
  attach: "Attach",
  kind: "Kind",
  contract: "Contract",
  theSiteAsA: "the site as a whole",
  pageOfTheTerms: "Page of the terms",
  note: "Note",
  filePdfOrPicture: "File (PDF or picture, at most 15 MB)",
} as const;

export const SITE_COVERAGE = {
  coverageOf: (portfolio: string) => `Coverage of ${portfolio}`,
  siteAndItsEvidence: "Site and its evidence",
  coverage: (name: string) => `Coverage: ${name}`,
  todayIsIn: (siteId: string, today: string, timeZone: string) => `${siteId} · today is ${today} in ${timeZone}`,
  suspectedSince: (since: string) => `Suspected since ${since}`,
  theFirstScoreOn: ", the first score on file, or earlier",
  theModelHoldsA: (text: string, suspicion: string) =>
    `${text}: the model holds a bonding or grounding defect more likely than not, ${suspicion}. That is no discovery. Only a named person makes one, below.`,
  deadlines: "Deadlines",
  noDeadlineIsKnown: "No deadline is known. A term that nobody recorded has none here.",
  contracts: (contracts: number) => `Contracts (${contracts})`,
  noContractIsRecorded: "No contract is recorded for this site.",
  change: (coverageId: string) => `Change ${coverageId}`,
  enterAContract: "Enter a contract",
  evidenceFile: "Evidence file",
  shareTheEvidence: "Share the evidence",
  aReadOnlyLink:
    "A read-only link for an inspector or insurer: it shows this site's evidence and nothing else, no money and no papers, until its day or until it is revoked. Each opening is entered in the audit log.",
} as const;
