/** Words of visit, by the file that shows them: what one does not show is not sent to its browser. */

export const CLOSING = {
  notSaid: "not said",
  signOff: "Sign-off",
  causeFound: "Cause found",
  foundByMeasurementOr: "Found by measurement or sight",
  whatWasDone: "What was done",
  testedAfter: "Tested after",
  stateTheSiteIs: "State the site is left in",
  whatWasNotChecked: "What was not checked is a gap, not a pass.",
  signAgain: "Sign again",
  signOff2: "Sign off",
  aStopStandsNothing: "A stop stands: nothing is signed off until it is lowered.",
  giveYourNameAnd: "Give your name and licence first.",
  signedBy: (says: string) => `Signed by ${says}.`,
  signedBeforeTheLast: (says: string) =>
    `Signed before the last change by ${says}: something was written since. All of it is kept. Look at it and sign again.`,
} as const;

export const CONFLICTS = {
  whereTwoPeopleDiffer: "Where two people differ",
  whereTwoPeopleDiffer2: (open: number) => `Where two people differ (${open})`,
  licence: ", licence",
  decided: ", decided:",
  readingsAreNotChosen:
    "Readings are not chosen among: all are kept and the more dangerous counts. Read again together; a voltage is lowered only by a qualified person with a low-impedance meter between the same two points.",
  why: "Why",
  nothing: "nothing",
  decide: (value: string) => `Decide: ${value}`,
  aQualifiedPersonDecides: "A qualified person decides: give name and licence above, and say that you are one.",
} as const;

export const INSTRUMENT_FIELDS = {
  instrumentSerialNumber: "Instrument, serial number",
  calibratedOn: "Calibrated on",
} as const;

export const KEPT_READINGS = {
  keptReadBy: (reading: string, by: string) => `Kept: ${reading}, read by ${by}.`,
  twoReadingsOfThe: "Two readings of the same: all of them are kept. Read again together.",
} as const;

export const NOTE = {
  nothing: "nothing",
  wroteOtherwiseBothAre: (by: string, value: string) => `${by} wrote otherwise: ${value}. Both are kept; agree on one.`,
} as const;

export const OFF_THE_LIST = {
  theVisit: "The visit",
  writtenAtPlacesThat: "Written at places that are not on record",
  writtenAtPlacesThatAre:
    "Written at places that are not on record any more, or not on this list: kept here, and no record is made of a place that is gone. Tell your dispatcher which place it is now.",
  section: (sectionId: string) => `, section ${sectionId}`,
  inverter: (inverterId: string) => `, inverter ${inverterId}`,
  reading: (text: string, unit: string) => `reading ${text} ${unit}`,
} as const;

export const ON_SITE = {
  planned: "Planned",
  arrived: "Arrived",
  goWeatherAndAccess: "Go: weather and access are right",
  noGoWeatherOr: "No-go: weather or access",
  startWork: "Start work",
  stopWork: "Stop work",
  workIsOverThe: "Work is over: the state is written below",
  checkOut: "Check out",
  notSaid: "not said",
  notRight: "not right",
  visit: "Visit",
  now: (state: string) => `Now: ${state}`,
  windLightningRainFrost:
    "Wind, lightning, rain, frost, a wet roof; ladder, gate, fall protection, people kept off, two people.",
  weatherForThisWork: "Weather for this work",
  access: "Access",
  whyWorkStopsWhen: "Why work stops, when it does",
  toLeaveByBy: (leaveBy: string) => `, to leave by ${leaveBy} by this phone’s clock`,
  withoutACheckOut: (by: string, state: string, text: string) =>
    `${by}: ${state}${text}. Without a check-out by then the dispatcher is alerted.`,
  minLater: (text: number) => `${text} min later`,
  minEarlier: (text: number) => `${text} min earlier`,
} as const;

export const OWN_CAUTION = {
  allOfTheAbove: (own: string) => `All of the above, and: ${own}`,
  allOfTheAbove2: "All of the above.",
} as const;

export const VISITS_ONE_PAGE = {
  checklist: "Checklist",
} as const;

export const POINTS = {
  notSaid: "not said",
} as const;

export const READING_FORM = {
  notSaid: "not said",
  notKnown: "not known",
  twoLeads: "two leads",
  fourWires: "four wires",
  fallOfPotential: "fall of potential",
  value: "Value,",
  itIsRightAs: "It is right as typed: keep it",
  keepTheReading: "Keep the reading",
  kind: "Kind",
  readFrom: "Read from",
  readTo: "Read to",
  meterImpedance: "Meter impedance",
  method: "Method",
} as const;

export const STOP_SCREEN = {
  vAcOrDc: "V, AC or DC not said",
  stop: "Stop",
  stop2: "STOP",
  backOffTouchNothing: "Back off. Touch nothing metal.",
  keepEveryoneAwayFrom: "Keep everyone away from the array, the ladder and the racking.",
  doNotResetAnything: "Do not reset anything. It stays live in light, whatever is switched off.",
  call: (phone: string) => `Call ${phone}`,
  noNumberIsRecorded: "No number is recorded for this site: call your dispatcher, or the emergency number.",
  iHaveBackedOff: "I have backed off. Show the record",
  onlyAQualifiedPerson:
    "Only a qualified person who gives name and licence lowers this, between the same two points, with a low-impedance meter.",
} as const;

export const USE_VISIT_LOG = {
  theStoreDoesNot: "The store does not answer.",
} as const;

export const VISIT_LOG = {
  theServerAnswered: (status: number) => `The server answered ${status}.`,
} as const;

export const VISIT_VIEW = {
  visits: "Visits",
  siteAndItsEvidence: "Site and its evidence",
  groundingChecklist: (name: string) => `Grounding checklist: ${name}`,
  notInTheQueue: ", not in the queue any more",
  noParticularSkill: "no particular skill",
  inTheQueueAbout: (rank: number, hours_on_site: number, skills: string) =>
    `, ${rank} in the queue, about ${hours_on_site} h on site, needs ${skills}`,
  visitRecordsUpTo: (visit_id: string, text: string) => `Visit ${visit_id}${text}. Records up to`,
  thisVisitIsClosed: "This visit is closed. What is written now opens it again.",
  cautions: "Cautions",
  beforeAnythingIsTouched: "Before anything is touched",
  drawnToBeFilled: ", drawn to be filled in by hand. What is written of a visit has its report under Visits.",
  checksInTheOrder: (checklist: number) => `Checks, in the order of the walk (${checklist})`,
  stillOpenAfterThis: "Still open after this visit",
  stillOpenAfterThisVisit: (lines: number, hours: string) => `Still open after this visit (${lines}, about ${hours} h)`,
  beforeAnythingIsAltered: "Before anything is altered",
  beforeAnythingIsAlteredA: "Before anything is altered: a claim is open",
  askedName: "asked, name",
  answer: "answer",
  dateTime: "date, time",
  hoursNotRecorded: "hours not recorded",
  site: "Site",
  system: "System",
  kwDcKwAc: (dcKw: number, acKw: number, mounting: string) => `${dcKw} kW DC, ${acKw} kW AC, ${mounting}`,
  contact: "Contact",
  emergency: "Emergency",
  access: "Access",
  codeAndAuthority: "Code and authority",
  forWarrantyAndCover: "For warranty and cover:",
  accept: "Accept",
  reference: "Reference",
  none: "none",
  caution: "Caution",
  pass: "pass",
  fail: "fail",
  unable: "unable",
  value: (unit: string) => `value, ${unit}`,
  instrument: "instrument",
  initialsTime: "initials, time",
  signOff: "Sign-off",
  leftAsFoundOr: "Left as found or as described below. What was not checked is a gap, not a pass.",
  causeFound: "cause found",
  whatWasDone: "what was done",
  testedAfter: "tested after",
  name: "name",
  licence: "licence",
  nec: (necEdition: string, permitAuthority: string) => `NEC ${necEdition}, ${permitAuthority}`,
  section: (section_id: string) => `section ${section_id}`,
  inverter: (inverter_id: string) => `inverter ${inverter_id}`,
} as const;

export const VISIT_WORK = {
  aPersonNotNamed: "a person not named",
  itsTwoPointsAre: " Its two points are not said, so nothing lowers it: write it again with them.",
  stopStandsVFrom: (volts: number, pointA: string, pointB: string, inspector: string, text: string) =>
    `STOP stands: ${volts} V from ${pointA} to ${pointB}, read by ${inspector}. No work.${text}`,
  checksAsYouWalk: "Checks, as you walk",
  thisPageOpensWithout: "This page opens without signal.",
  thisPageIsNot: "This page is not yet kept for use without signal.",
  edit: "1 edit",
  edits: (unkept: number) => `${unkept} edits`,
  thisPhoneKeepsNothing: (text: string) =>
    `This phone keeps nothing of ${text}: leave this page open until everything is sent.`,
  notTakenIntoThe: "Not taken into the records",
  writtenDownButNot: "Written down, but not taken into the records. Write it again, or tell your dispatcher:",
  everythingWrittenHereIs: "Everything written here is sent.",
  editWaitsToBe: "1 edit waits to be sent.",
  editsWaitToBe: (waiting: number) => `${waiting} edits wait to be sent.`,
} as const;

export const WET_LOOK = {
  lookInTheWet: "Look in the wet",
  mayBeMadeIn: "May be made in the wet, as a look only.",
  allowedBy: (text: string, allowedBy: string, allowedAt: string, reason: string) =>
    `${text} Allowed by ${allowedBy}, ${allowedAt}: ${reason}`,
  aboutHOnlyThese: (hoursOnSite: number) =>
    `About ${hoursOnSite} h. Only these lines; all others stay open for a visit in the dry, with its measurements first:`,
  endThatThisVisit: "End that this visit may be made in the wet",
  allowALookAt: "Allow a look at ground level in the wet",
  plansThatWereMade: "Plans that were made with it say that they have to be made anew.",
  evidenceFromTheWet: (text: string) =>
    `Evidence from the wet comes from remote readings first, and by default nobody is sent to wet metal. ${text} Your name and reason are kept with the visit and in the audit log.`,
  yourFullName: "Your full name",
  why: "Why",
  endIt: "End it",
  allowIt: "Allow it",
} as const;

export const CHECK_INDEX = {
  allChecks: (checks: number, answered: number) => `All ${checks} checks, ${answered} answered`,
  open: "open",
} as const;

export const WORK_ITEM = {
  check: (number: number) => `Check ${number}`,
  section: (section_id: string) => `, section ${section_id}`,
  inverter: (inverter_id: string) => `, inverter ${inverter_id}`,
  caution: "Caution:",
  forWarrantyAndCover: "For warranty and cover:",
  accept: "Accept:",
  none: "none",
  reference: (code_reference: string) => `Reference: ${code_reference}`,
  aStopStandsNo: "A stop stands: no check is passed or failed until it is lowered.",
  decidedAllAnswersAre: (by: string, value: string) => `${by} decided: ${value}. All answers are kept.`,
  twoAnswersSaysBoth: (by: string, value: string) =>
    `Two answers: ${by} says ${value}. Both are kept, and the worse one counts.`,
  note: "Note",
  addPhotos: "Add photos",
  photoKept: "1 photo kept",
  photosKept: (mine: number) => `${mine} photos kept`,
  takenHereWaitsTo: "Taken here, waits to be sent",
  takenHere: "Taken here",
  waitsToBeSent: "waits to be sent",
  notTakenItStays: (refused: string) => `Not taken: ${refused} It stays on this phone.`,
} as const;

export const WORKER_FIELDS = {
  whoWorks: "Who works",
  yourName: "Your name",
  yourLicence: "Your licence",
  iAmAQualified: "I am a qualified person",
  keepTimeAndPlace: "Keep time and place of photos",
} as const;
