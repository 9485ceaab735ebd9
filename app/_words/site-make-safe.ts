/** Words of the emergency on the page of a site, by the file that shows them: what one does not show is not sent to its browser. */

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

export const MAKE_SAFE_STEP = {
  writeYourNameWithout: "Write your name: without one a step does not count.",
  writeTheNumberOf: "Write the number of the lock.",
  chooseTheCauseThat: "Choose the cause that was repaired.",
  sayHowContinuityAnd: "Say how continuity and insulation came out, and how wet the surface was.",
  takeAPhotoOf: "Take a photo of the lock.",
  theServerAnswered: (status: number) => `The server answered ${status}.`,
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
