/** Words of sites, by the file that shows them: what one does not show is not sent to its browser. */

export const FLEET_FINDINGS = {
  howManyWeatherFindings: "How many weather findings are expected to be false",
  closeAndOpenIt: "Close and open it to try again.",
  reading: "Reading …",
  pOfWetAgainst: "p of wet against dry, from",
  noSiteHasEnough: "No site has enough onsets in known weather to be looked at.",
  fromTheFlatPart: (noEffectShare: number) =>
    ` From the flat part of the picture, about ${noEffectShare} % of the sites are not moved by water.`,
  sitesByPOf: "Sites by p of wet against dry",
  sitesHadEnoughOnsets: (sites: number, findings: number, level: number, expectedFalse: string, nothing: string) =>
    `${sites} sites had enough onsets to be looked at; ${findings} follow the wet at q ≤ ${level}, and at most about ${expectedFalse} of these are expected to be false.${nothing} A tall first bar over a flat rest is a real effect at some sites; if weather did nothing anywhere, all bars would lie about the dashed line.`,
  sites: "Sites",
} as const;

export const LIST_SETTING = {
  urgency: "Urgency",
  bondingDefect: "Bonding defect",
  metalEnergised: "Metal energised",
  leadingCause: "Leading cause",
  wetDry: "Wet : dry",
  rainAboveGroundFaults: "Rain above, ground faults below, 12 months",
  lastInspected: "Last inspected",
  portfolio: "Portfolio",
  keptFilters: "Kept filters",
  forgetTheFilter: (name: string) => `Forget the filter ${name}`,
  columnsAndKeptFilters: "Columns and kept filters",
  columns: "Columns",
  keepTheFiltersNow: "Keep the filters now set, by a name",
  keep: "Keep",
  thisListAsCsv: "This list as CSV",
} as const;

export const MAKE_SAFE_BANNER = {
  nobodyHas: "that nobody has",
  somebodyHasNotIsolated: "that somebody has, not isolated",
  isolated: "isolated",
  onWatchAfterRe: "on watch after re-energising",
  sitesToMakeSafe: "Sites to make safe now",
  site: "1 site",
  sites: (sites: number) => `${sites.toLocaleString("en-US")} sites`,
  nowKeepPeopleOff: (text: string) => `${text} now: keep people off, do not reset.`,
  andMoreFirstIn: (more: number) => `and ${more.toLocaleString("en-US")} more, first in the list below`,
  theOtherWithWho: (others: number) => `The other ${others.toLocaleString("en-US")}, with who has them`,
  loadingOthers: "Loading the others …",
  loading: "Loading …",
  moreLeft: (left: number) => `More, ${left.toLocaleString("en-US")} are left`,
  hasIt: (hasIt: string) => `${hasIt} has it`,
  nobodyHasIt: "nobody has it",
  next: (toLowerCase: string) => `, next: ${toLowerCase}`,
  alertOf: (reason: string, openedAt: string) => `${reason} Alert of ${openedAt}.`,
} as const;

export const SITES_PAGE = {
  rankedSites: "Ranked sites",
} as const;

export const ROWS_BAR = {
  givenToTheCrew: "given to the crew",
  whatToDoWith: "What to do with the chosen sites",
  site: "site",
  sites: "sites",
  chosen: (size: number, text: string) => `${size} ${text} chosen`,
  chooseNone: "Choose none",
  queueAVisit: "Queue a visit",
  holdUntil: "Hold until",
  reason: "Reason",
  hold: "Hold",
  release: "Release",
  crew: "Crew",
  choose: "choose",
  giveTo: "Give to",
} as const;

export const SITE_BRIEF = {
  reading: "Reading …",
  strongestForADefect: "Strongest for a defect",
  decibans: (says: string, decibans: string) => `${says} (+${decibans} decibans)`,
  nothing: "nothing",
  strongestAgainst: "Strongest against",
  decibans2: (says: string, decibans: string) => `${says} (${decibans} decibans)`,
  nothingThatIsNo: "nothing; that is no finding for it",
  heldUntilBy: (until: string, by: string, reason: string) => `Held until ${until} by ${by}: ${reason}`,
  openTheSite: "Open the site",
  noGapIsKnown: "No gap is known; that is no clearance.",
  inWhatIsKnown: (gaps: number, text: string) => `${gaps} ${text} in what is known.`,
} as const;

export const SITES_FILTERS = {
  searchPress: "Search (Ctrl and /)",
  siteIdOrPortfolio: "Site, id or portfolio",
  portfolio: "Portfolio",
  all: "All",
  urgency: "Urgency",
  leadingCause: "Leading cause",
  heldSites: "Held sites",
  leftOut: "left out",
  shownToo: "shown too",
  onlyThese: "only these",
} as const;

export const SITES_MAP = {
  mapOfSitesOf: (sites: number) => `Map of ${sites} sites of the list`,
  makeSafe: "◆ make safe",
  urgent: "▲ urgent",
  planned: "■ planned",
  onWatch: "● on watch",
  largerMarks: "A larger mark is several sites: press it to see them alone.",
  sitesHere: (n: number, urgency: string) => `${n} sites, ${urgency.toLowerCase()}: press to see them alone`,
  wholeMapAgain: "Whole map again",
  dragARectangleTo: "Drag a rectangle, or press two of its corners, to narrow the list.",
  otherCorner: "Now press the corner across from it.",
} as const;

export const SITES_TABLE = {
  notWithWeather: "not with weather",
  withRain: "with rain",
  withDew: "with dew",
  whenWet: "when wet",
  whenHot: "when hot",
  withThunder: "with thunder",
  withWind: "with wind",
  notEnoughDataTo: "not enough data to tell",
  weatherUnknown: "weather unknown",
  noSiteMatchesClear: "No site matches. Clear a filter to see more.",
  rankedSites: "Ranked sites",
  chooseAllSitesOf: "Choose all sites of this page",
  rank: "Rank",
  urgency: "Urgency",
  site: "Site",
  choose: (name: string) => `Choose ${name}`,
  rankReasonsOf: (rank: string | number, name: string) => `Rank ${rank}, reasons of ${name}`,
  heldUntil: (until: string) => `held until ${until}`,
  wetDry: (wetEpisodes: number, dryEpisodes: number) => `${wetEpisodes} wet, ${dryEpisodes} dry`,
  neverInspected: "never inspected",
} as const;

export const SITES_VIEW = {
  loadingTheList: "Loading the list …",
  rankedSites: "Ranked sites",
  sitesRecordsUpTo: (fleetSites: number) => `${fleetSites} sites; records up to`,
  notKnown: "not known",
  probabilityThatABonding: ". Probability that a bonding or grounding defect is present, with its 5 % and 95 % points.",
  siteWaits: "site waits",
  sitesWait: "sites wait",
  forANewScore: (staleSites: number, text: string) =>
    `${staleSites} ${text} for a new score; this page follows by itself.`,
  mapOfTheseSites: "Map of these sites",
  arrowsOrJAnd: "Arrows move between rows, Enter opens one, the space bar chooses it.",
  theListCouldNotBe: (says: string) => `${says} What is shown may be old; it is tried again by itself.`,
  serverAway:
    "The list could not be refreshed: the server or its database does not answer at the moment. What is shown is from before, and a filter set since then is not applied yet. Nothing typed or chosen is lost; it is asked again by itself.",
  noSitesYet: "No sites yet",
  yourOwnFilesLead:
    "Your own files lead to a first ranking in a few steps: a list of sites and a fault log are enough to begin.",
  importFiles: "Import files",
  pagesOfTheList: "Pages of the list",
  earlier: "Earlier",
  site: "site",
  sites: "sites",
  pageOf: (page: number, pages: number, matching: number, text: string) =>
    `Page ${page} of ${pages}, ${matching} ${text}`,
  later: "Later",
} as const;
