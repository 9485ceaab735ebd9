/** Words of visits, by the file that shows them: what one does not show is not sent to its browser. */

export const OPEN_FIXES = {
  repairsUnderWatch: (fixes: number) => `Repairs under watch (${fixes.toLocaleString("en-US")})`,
  aRepairLeavesThis:
    "A repair leaves this list only when it is known to have held. Silence alone is no proof; trips in the wet open it again by themselves.",
  noRepairOfA: "No repair of a named cause is under watch.",
  repairsUnderWatch2: "Repairs under watch",
  site: "Site",
  repair: "Repair",
  state: "State",
  defectStillThere: "Defect still there",
  wetFaultsBeforeAnd: "Wet faults, before and after",
  wetFaults: "Wet faults",
  inHInH: (wetEpisodes: number, wetHours: number, wetEpisodes2: number, wetHours2: number) =>
    `${wetEpisodes} in ${wetHours} h, ${wetEpisodes2} in ${wetHours2} h`,
  wetHoursTo: "Wet hours to 95 %",
  to: "To 95 %",
} as const;

export const VISITS_PAGE = {
  visits: "Visits",
} as const;

export const PHOTO_PLACE = {
  photos: "Photos",
  timeAndPositionOf: "Time and position of photos are kept, where the phone gives them.",
  timeAndPositionAre: "Time and position are taken off every photo before it is stored, also out of the file.",
  photosThatAreStored: (text: string) => `${text} Photos that are stored already stay as they are.`,
  keepTimeAndPosition: (text: string) => `${text}Keep time and position`,
  takeThemOff: (text: string) => `${text}Take them off`,
} as const;

export const VISITS_VIEW = {
  visits: "Visits",
  makeSafeBeforeUrgent:
    "Make safe before urgent before planned; inside each, expected loss avoided per cost of the trip. Records up to",
  notKnown: "not known",
  moneyIsAYears: (currency: string) => `; money is a year’s expectation in ${currency}.`,
  repairsUnderWatch: "Repairs under watch",
  todaysStopsForThe: "today’s stops for the phone",
  noVisitIsQueued: "No visit is queued. That is no clearance: see what is on watch and what is missing.",
  visitReports: "Visit reports",
  onWatch: (watch: number) => `On watch (${watch.toLocaleString("en-US")})`,
  onSiteNow: "On site now",
  onSite: (onSite: number) => `On site (${onSite})`,
  checkOutOverdue: "Check-out overdue.",
  toLeaveBy: ", to leave by",
  callAndSendSomebody: " Call, and send somebody if there is no answer: the phone may be without signal.",
  signedAndNotClosed: (unclosed: number) => `Signed and not closed (${unclosed})`,
  randomAudit: (month: string) => `Random audit, ${month}`,
  visitsToSuspiciousSites: (sharePct: number) =>
    `Visits to suspicious sites alone cannot show what quiet ones hide. These sites on watch were drawn by lot, so that ${sharePct} % of all visits are of that kind; the share is the row audit.share under`,
  parameters: "Parameters",
  aLotIsNo: ". A lot is no finding, and not being drawn is no clearance.",
  queuedVisits: "Queued visits",
  rank: "Rank",
  urgency: "Urgency",
  site: "Site",
  bondingDefect: "Bonding defect",
  why: "Why",
  avoidsAYear: "Avoids, a year",
  costs: "Costs",
  onSite2: "On site",
  needs: "Needs",
  noSiteIsOn: "No site is on watch.",
  sitesOnWatch: "Sites on watch",
  whyNoVisitNow: "Why no visit now",
  whatWouldChangeIt: "What would change it",
} as const;

export const TODAY_PAGE = {
  today: "Today",
  noConfirmedPlanKnows: (name: string) =>
    `No confirmed plan knows of this day for ${name}. That is no clearance of any site.`,
  nextDayWithStops: (next: string) => `Next day with stops: ${next}`,
  crew: "Crew",
  chooseYours: "choose yours",
  show: "Show",
  thisCrewIsOff: "This crew is off.",
  leave: "Leave",
  back: ", back",
  openEachOnceWhile: ". Open each once while there is signal.",
  noStopIsPlanned: "No stop is planned.",
  to: (start: string, depart: string) => `${start} to ${depart},`,
  promised: ", promised",
  done: ", done",
  underWay: ", under way",
  drive: (text: string, text2: string) => `drive${text}${text2}`,
  noPlanWentOut: "No plan went out: these are the first stops of the queue. Open each once while there is signal.",
  hChecks: (hours_on_site: number, checklist: number) => `${hours_on_site} h, ${checklist} checks`,
  noVisitIsQueued: "No visit is queued. That is no clearance.",
} as const;

/** Parts and pages of the lists of visits. */
export const LISTS = {
  fromRank: (n: number, from: number) => `${n.toLocaleString("en-US")}, from rank ${from.toLocaleString("en-US")}`,
  queueEnds: (from: number) => `The queue ends before rank ${from.toLocaleString("en-US")}.`,
  pagesOfQueue: "Pages of the queue",
  ranks: (first: number, last: number, total: number) =>
    `Ranks ${first.toLocaleString("en-US")} to ${last.toLocaleString("en-US")} of ${total.toLocaleString("en-US")}`,
  pagesOfWatch: "Pages of the watch list",
  fromTheFirst: "From the first",
  nextSites: "Next sites",
  pagesOfRepairs: "Pages of the repairs",
  page: (page: number, pages: number) => `Page ${page} of ${pages}`,
  earlier: "Earlier",
  later: "Later",
} as const;
