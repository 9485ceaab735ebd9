/** Words of plan, by the file that shows them: what one does not show is not sent to its browser. */

export const PLAN_PAGE = {
  plan: "Plan",
  whoDrivesWhereOn:
    "Who drives where, on which day: make safe first whatever else it costs, then what was promised, then the loss avoided. A plan is a draft until you confirm it.",
  whoIsToldCalendars: "Who is told, calendars",
  drivingTimes: "driving times",
  didDispatchEarnIts: "did dispatch earn its keep",
  plans: "Plans",
  noPlanWasMade: "No plan was made yet.",
  days: "Days",
  day: "day",
  days2: "days",
  state: "State",
  replacedByALater: "replaced by a later one",
  avoids: "Avoids",
  made: "Made",
  by: (madeBy: string) => `by ${madeBy}`,
} as const;

export const PLAN_FORM = {
  firstDay: "First day",
  days: "Days",
  asking: "Asking …",
  makeAPlan: "Make a plan",
} as const;

export const PLAN_RUN = {
  askingForAPlan: "Asking for a plan …",
  planFor: (from: string) => `Plan for ${from}`,
  day: "day",
  days: "days",
  you: "you",
  askedBy: (from: string, days: number, text: string, text2: string, requestedAt: string) =>
    `${from}, ${days} ${text}, asked by ${text2}, ${requestedAt}`,
  openThePlan: "Open the plan",
  stopAndKeepThe: "Stop and keep the best",
  stopping: "Stopping …",
  takeItBack: "Take it back",
  howFarItIs: (message: string) => `How far it is could not be read: ${message}`,
  thePlanIsMade: "The plan is made.",
  takenBack: "Taken back.",
  noPlanWasMade: "No plan was made.",
  nothingTakesThisWork: "Nothing takes this work.",
  anotherPlan: "another plan",
  otherPlans: (ahead: number) => `${ahead} other plans`,
  waitsFor: (text: string) => `Waits for ${text}.`,
  waitsForAnotherPlan: "Waits for another plan.",
  waitsForTheWorker: "Waits for the worker.",
  theWorkerThatDid: "The worker that did this ended. Another begins it anew.",
  lookingForABetter: "Looking for a better plan …",
  readingVisitsCrewsAnd: "Reading visits, crews and forecasts …",
  noWorkerHasBeen: (workerSeenAt: string) => `No worker has been heard of since ${workerSeenAt}.`,
  noWorkerWasEver: "No worker was ever heard of.",
  startOne: (text: string) => `${text} Start one:`,
  npmRunRaintripWorker: "npm run raintrip -- worker",
  whatYouAskedFor: ". What you asked for waits here and is not lost.",
  placesForMakeSafe: "Places for make-safe visits first",
  searching: "Searching",
  showingHowMuchBetter: "Showing how much better any plan could be",
  choosingAmongAllRoutes: "Choosing among all routes met",
  upTo: "up to ",
  roundOf: (done: number, text: string, of: number) => `, round ${done} of ${text}${of}`,
  progressOfTheSearch: "Progress of the search",
  ofThemMakeSafe: (makeSafe: number) => `, ${makeSafe} of them make safe,`,
  visit: "visit",
  visits: "visits",
  crewDay: "crew-day",
  crewDays: "crew-days",
  bestSoFarOn: (visits: number, text: string, hazards: string, crewDays: number, text2: string) =>
    `Best so far: ${visits} ${text}${hazards} on ${crewDays} ${text2},`,
  drivingAndWorkCost: (money: string) =>
    `driving and work cost ${money} more than it avoids in a year, because people come first.`,
  aYearAvoidedBeyond: (value: string) => `${value} a year avoided beyond what driving and work cost.`,
  howFarABetter: "How far a better plan could go is not shown yet.",
  noPlanWithThe: (gap: string) =>
    `No plan with the same make-safe and promised visits avoids more than ${gap} % above that.`,
} as const;

export const ADDED_DAYS = {
  oneDayMore: "One day more",
  crewAndDay: "Crew and day",
  chooseOne: "choose one",
  addTheDay: "Add the day",
  workingOutWhatIt: "Working out what it would bring …",
  plannedAnewWithIt: (text: string, visits: number, consequenceText: string) =>
    `Planned anew with it, by a quick search: ${text}${visits} visits, ${consequenceText}.`,
} as const;

export const CONSEQUENCE_LINE = {
  notPossible: (broken: string) => `Not possible: ${broken}`,
  makeSafeLater: (hazardsLater: string) => `Make-safe later: ${hazardsLater}.`,
  min: (late: number) => `${late} min`,
  late: (late: string) => `${late} late`,
} as const;

export const CREW_DAY = {
  sun: "Sun",
  mon: "Mon",
  tue: "Tue",
  wed: "Wed",
  thu: "Thu",
  fri: "Fri",
  sat: "Sat",
  awayTo: (leave: string | null, back: string | null) => `away ${leave} to ${back}`,
  noStop: "no stop",
  lockedBy: (lockedBy: string) => `locked by ${lockedBy}`,
  addedBy: (addedBy: string) => `added by ${addedBy}`,
  noForecast: "no forecast",
  unlock: "Unlock",
  lock: "Lock",
  doesNotWork: "Does not work",
  daySheet: "Day sheet",
  of: (crewName: string, day: string) => `of ${crewName}, ${day}`,
  shift: (says: string) => `shift ${says}`,
} as const;

export const CREW_STRIP = {
  notPossible: (text: string | undefined) => `Not possible: ${text}`,
  makeSafe: "make safe",
  doneOrUnderWay: "done or under way",
  toDrive: (siteName: string, start: string, depart: string, toLowerCase: string, driveKm: string, text: string) =>
    `${siteName}, ${start} to ${depart}, ${toLowerCase}, ${driveKm} drive${text}`,
  to: (start: string, depart: string, text: string) => `${start} to ${depart}${text}`,
  forecast: (why: string) => `${why} forecast`,
} as const;

export const MAP_BY_DAY = {
  routesOf: "Routes of",
  allDays: "all days",
} as const;

export const MOVE_PANEL = {
  move: (siteName: string) => `Move ${siteName}`,
  toDrive: (start: string, depart: string, driveKm: string) => `${start} to ${depart}, ${driveKm} drive. `,
  notPlanned: "Not planned. ",
  theVisit: "The visit",
  takeThePinOff: "Take the pin off",
  pinToThisCrew: "Pin to this crew and day",
  letItBePlanned: "Let it be planned again",
  close: "Close",
  whereItCouldGo: "Where it could go, and what that changes",
  itCanGoNowhere: "It can go nowhere else without breaking a rule.",
  notPossibleAndWhy: (impossible: number) => `Not possible (${impossible}), and why`,
  whyKeptWithThe: "Why (kept with the plan)",
  takeItOut: "Take it out",
  moveIt: "Move it",
  workingOutWhereIt: "Working out where it could go …",
} as const;

export const PLAN_ONE_PAGE = {
  plan: "Plan",
} as const;

export const PLAN_BOARD = {
  day: "day",
  days: "days",
  plan: (from: string, days: number, text: string) => `Plan ${from}, ${days} ${text}`,
  confirming: "Confirming …",
  confirmAndSendOut: "Confirm and send out",
  asking: "Asking …",
  planAnewAroundPins: "Plan anew around pins and locks",
  csv: "CSV",
  daylight: "daylight",
  keepsPeopleOffA: "keeps people off a roof, by forecast",
  driving: "driving",
  frameTheShiftHours: "Frame: the shift. Hours on the crew’s clock.",
  noCrewWorksOn: "No crew works on these days.",
  openAStopTo:
    "Open a stop to see where it could go and what that changes; arrow keys go from stop to stop. With a mouse, drag it: each strip says what dropping it there would change.",
} as const;

export const PLAN_CHANGES = {
  whoChangedWhat: "Who changed what",
} as const;

export const PLAN_MAP = {
  mapOfTheSites: "Map of the sites, the bases and the routes",
  makeSafe: "◆ make safe",
  urgent: "▲ urgent",
  planned: "■ planned",
  roadsAreDrawnStraight: "Roads are drawn straight.",
} as const;

export const PLAN_SUMMARY = {
  howFarABetter: "How far a better plan could go is not proven.",
  noPlanWithThe: (gap: string) =>
    `No plan with the same make-safe and promised visits, pins and locks avoids more than ${gap} % above that.`,
  aDraftNothingWas: "A draft: nothing was sent to anybody.",
  confirmedBy: (confirmedBy: string | null, text: string) => `Confirmed by ${confirmedBy}${text}.`,
  replacedByALater: "Replaced by a later plan.",
  aYearLessThan: (money: string) => `${money} a year less than their driving and work cost: people come first.`,
  aYearMoreThan: (objective: string) => `${objective} a year more than their driving and work cost.`,
  visitsAvoid: (stops: number, text: string, gap: string) => `${stops} visits avoid ${text} ${gap}`,
  theRestOfThe: "The rest of the day of",
  anEarlierPlan: "an earlier plan",
  byWhatIsRecorded: "By what is recorded now this plan breaks rules; plan it anew before it goes out.",
  noForecastCoversThese: (withoutForecast: number) =>
    `No forecast covers these days at ${withoutForecast} sites with roof work. Look at the sky before anyone climbs: no roof work in rain, wind, lightning or frost, or on a wet roof.`,
} as const;

export const REST_OF_DAY = {
  theDayDoesNot: "The day does not go as planned",
  whatIsDoneOr:
    "What is done or under way stays, promised visits move only where they must. You see what moves before anybody is told.",
  minutesUntilItCan: (crewName: string) => `${crewName}: minutes until it can drive on`,
  asPlanned: "as planned",
  isOffForThe: (crewName: string) => `${crewName} is off for the rest of the day`,
  whatHappened: "What happened",
  asking: "Asking …",
  planTheRestOf: "Plan the rest of the day",
} as const;

export const UNSERVED = {
  notVisited: (unserved: number) => `Not visited (${unserved})`,
  visitsThatThePlan: "Visits that the plan leaves out",
  site: "Site",
  urgency: "Urgency",
  avoids: "Avoids",
  why: "Why",
} as const;

export const EARNED_PAGE = {
  didDispatchEarnIts: "Did dispatch earn its keep",
  visitsOfConfirmedPlans: (from: string, to: string) =>
    `Visits of confirmed plans from ${from} to ${to}: what was planned, what happened, what was found, and what the queue had expected. Intervals hold 90 %. A visit that found nothing clears nothing.`,
  plans: "Plans",
  noVisitOfA:
    "No visit of a confirmed plan lies in the past yet. Confirm a plan; the day after its first day there is something to see here.",
  byCrew: "By crew",
  crew: "Crew",
  byMonth: "By month",
  month: "Month",
  noVisitWasMade: "No visit was made whose finds were predicted: nothing can be said.",
  foundInVisitsExpected: (found: number, n: number, found2: string, low: number, high: number) =>
    `${found} found in ${n} visits, ${found2} expected (${low} to ${high})`,
  itTakesAboutVisits: (needs: number) => `It takes about ${needs} visits to judge`,
  nothingWasExpected: "Nothing was expected",
  untilThenThisIs: (said: string, needs: string) => `${said}. ${needs}; until then this is no judgement.`,
  asManyAsThe: "as many as the queue expected",
  fewerThanTheQueue: "fewer than the queue expected: look at the parameters and at what was not looked for",
  moreThanTheQueue: "more than the queue expected: it undersells visits",
  sentOutMade: "Sent out, made",
  sentMade: (sent: number, made: number) => `${sent} sent, ${made} made`,
  defectsFound: "Defects found",
  foundAVisit: "Found a visit",
  toVisits: (rate: string, low: string, high: string, n: number) => `${rate} (${low} to ${high}), ${n} visits`,
  nothingRecorded: "nothing recorded",
  hoursOnSitePlanned: "Hours on site, planned and taken",
  hPlannedHTaken: (planned: string, taken: string, n: number) =>
    `${planned} h planned, ${taken} h taken, mean of ${n} visits with written hours`,
  noVisitHasWritten: "no visit has written hours",
  cost: "Cost",
  aDefectFound: (perDefect: string) => `, ${perDefect} a defect found`,
  aVisitVisits: (perVisit: string, n: number, text: string) => `${perVisit} a visit (${n} visits)${text}`,
  theCrewsRatesAre: "the crews’ rates are not recorded",
  lossThatTheQueue: "Loss that the queue expected a visit to avoid, a year",
  notKnown: "not known",
  sent: "Sent",
  made: "Made",
  hoursPlannedTaken: "Hours planned, taken",
  notWritten: "not written",
  aVisitCosts: "A visit costs",
  foundAgainstExpected: "Found against expected",
  visitByVisitNewest: "Visit by visit, newest first",
  visitsThatWereSent: "Visits that were sent out",
  day: "Day",
  site: "Site",
  planned: "Planned",
  begun: "Begun",
  notMade: "not made",
  foundExpected: "Found, expected",
  notPredicted: "not predicted",
} as const;

export const CALENDARS_WORDS = {
  calendarsOfTheCrews: "Calendars of the crews",
  whoeverHasTheLink:
    "Whoever has the link reads the crew’s confirmed days in a calendar program: sites, times and places, no customer’s name and no way in.",
  crew: "Crew",
  makeACalendarLink: "Make a calendar link",
  shownThisOnce: "Shown this once:",
  made: (crewName: string) => `${crewName}, made`,
  by: (madeBy: string) => `by ${madeBy}`,
  endThisLink: "End this link",
  of: (crewName: string) => `of ${crewName}`,
} as const;

export const GOING_OUT = {
  whatWentOutCould: (status: number) => `What went out could not be read (${status}).`,
  whoIsTold: "Who is told",
  makeSafeAlertsAnd:
    "Make-safe alerts and changes of confirmed plans go to the people and programs below. Quiet hours hold back changes of plans; a make-safe alert goes out in them too.",
  plans: "Plans",
  noEMailIs: (wrong: string) => `${wrong}. No e-mail is sent until then.`,
  noMailServerIs: "No mail server is set, so no e-mail is sent. README says how to set one.",
  recipients: "Recipients",
  nobodyIsToldA: "Nobody is told. A make-safe alert then stays on the screen alone.",
  address: "Address",
  eMail: "e-mail",
  webhook: "webhook",
  toldOf: "Told of",
  makeSafe: "make safe",
  changesOfPlans: "changes of plans",
  quietHours: "Quiet hours",
  addedBy: "Added by",
  whatCanBeDone: "What can be done",
  sendATest: "Send a test",
  to: (address: string) => `to ${address}`,
  remove: "Remove",
  whatWentOut: "What went out",
  nothingYet: "Nothing yet.",
  noticesNewestFirst: "Notices, newest first",
  notice: "Notice",
  state: "State",
  waitsUntil: (nextAt: string) => `waits until ${nextAt}`,
  givenUp: "given up",
  tries: "Tries",
  lastTry: "Last try",
  noneYet: "none yet",
  none: "none",
  to2: "To",
  sent: "sent",
} as const;

export const GOING_OUT_PAGE = {
  whoIsTold: "Who is told",
} as const;

export const RECIPIENT_FORM = {
  addARecipient: "Add a recipient",
  by: "By",
  eMail: "e-mail",
  webhookSignedCallOf: "webhook (signed call of an https address)",
  address: "Address",
  quietFrom: "Quiet from",
  quietTo: "Quiet to",
  makeSafeAlerts: "Make-safe alerts",
  changesOfPlans: "Changes of plans",
  add: "Add",
  secretOfThisWebhook: "Secret of this webhook, shown this once:",
  theHeaderRaintripSignature:
    ". The header raintrip-signature is v1= and the HMAC-SHA256, in hex, of raintrip-timestamp, a full stop and the body.",
} as const;

export const TRAVEL_TIMES_PAGE = {
  drivingTimes: "Driving times",
  plansDriveByYour:
    "Plans drive by your own times first, then by those of a routing server, then by the great circle times a road factor.",
  plans: "Plans",
  ofYourOwnAre: (own: string) => `${own} of your own are stored.`,
  noTimesOfYour: "No times of your own are stored.",
  aRoutingServerGave: (asked: string) => `A routing server gave ${asked}.`,
  noRoutingServerIs: "No routing server is set up; README says how.",
  noVisitIsQueued: "No visit is queued, or no crew recorded: nothing to drive yet.",
  everyWayBetweenThe: (places: number) =>
    `Every way between the ${places} places of the queue and the crews’ bases is known.`,
  ofBetweenThePlaces: (ways: string, places: number, lacking: string, examples: string) =>
    `Of ${ways} between the ${places} places of the queue and the crews’ bases ${lacking} are not given, such as ${examples}. There the great circle is taken, and each plan says so.`,
  theLackingWaysAs: "The lacking ways as a file to fill in",
} as const;

export const TRAVEL_TIMES_FORM = {
  giveYourOwn: "Give your own",
  aCsvFileOr: "A CSV file, or its lines pasted, with the columns",
  km: "km",
  mayBeLeftOut: "may be left out. A kind is",
  site: "site",
  or: "or",
  crew: "crew",
  itsBaseOneLine:
    "(its base). One line is one way in one direction: the way back is a line of its own. What you give takes the place of what you gave before.",
  file: "File",
  orPaste: "Or paste",
  reading: "Reading …",
  takeTheseTimes: "Take these times",
  removeMyTimes: "Remove my times …",
  removeYourOwnDriving: "Remove your own driving times?",
  keepThem: "Keep them",
  removeThem: "Remove them",
  waysAreForgottenPlans: (own: string) => `${own} ways are forgotten; plans then take the next best.`,
  whatWasTaken: "What was taken",
  noLineHoldsA: "No line holds a way that can be used: what was stored before stays as it was.",
  waysStored: (stored: string) => `${stored} ways stored.`,
  linesWereSetAside: (length: string) => `${length} lines were set aside.`,
  linesSetAside: "Lines set aside",
  line: "Line",
  whatToChange: "What to change",
  andLinesMore: (refused: number) => `And ${refused} lines more.`,
} as const;
