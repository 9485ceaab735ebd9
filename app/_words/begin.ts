/** Words of begin, by the file that shows them: what one does not show is not sent to its browser. */

export const DEMO_PANEL = {
  demo: "Demo",
  demoFleet: "Demo fleet",
  theDemoHereCame: "The demo here came with an older release, which did not mark what belongs to it. Run",
  npmRunRaintripDemo: "npm run raintrip -- demo --mark",
  onTheMachineThen: "on the machine; then it can be removed here. Your own sites stay.",
  beingLoaded: "Being loaded",
  progressOfTheDemo: "Progress of the demo",
  inventedSitesAreHere: (sites: number) =>
    `${sites} invented sites are here. Removing them takes everything that came with the demo or was entered on it, and its people; your own sites stay, and the audit log says what was done.`,
  removeItForGood: "Remove it for good; nothing of it is kept",
  removing: "Removing …",
  removeTheDemo: "Remove the demo",
  anInventedFleetWith: "An invented fleet with weather, faults and visits, to look around in. It can be removed again.",
  loadTheDemo: "Load the demo",
  sitesOfTheDemo: (sites: number) => `${sites} sites of the demo were removed.`,
} as const;

export const FIRST_STEPS = {
  sitesAndTheirInverters: "Sites and their inverters",
  aListOfYour:
    "A list of your sites (name, place, time zone, size) and one of their inverters. Any table does: its columns are matched on the page.",
  importAListOf: "Import a list of sites",
  weather: "Weather",
  stationsWithTheirPlaces:
    "Stations with their places, and hourly precipitation: published files as they are, or your own table. A site takes the nearest station within 60 km.",
  importWeather: "Import weather",
  faultLogs: "Fault logs",
  whenEachInverterReported:
    "When each inverter reported which fault. You are asked which of the codes mean a ground fault.",
  importAFaultLog: "Import a fault log",
  inspections: "Inspections",
  whatWasMeasuredWhere:
    "What was measured, where and when. Not needed for a first ranking, but nothing tells more about a bond than a measurement.",
  importInspections: "Import inspections",
  theFirstRanking: "The first ranking",
  computedByItselfAfter:
    "Computed by itself after each import: where a bonding or grounding defect is likely, and why.",
  openTheRankedSites: "Open the ranked sites",
  looking: "Looking …",
  done: "done",
  next: "next",
  later: "later",
} as const;

export const BEGIN_PAGE = {
  firstSteps: "First steps",
  fromYourOwnFiles:
    "From your own files to the first ranking. Each step can be done again at any time, and importing a file twice changes nothing.",
} as const;

export const USE_FIRST_RUN = {
  theStepsCouldNot: (status: number) => `The steps could not be read (${status}).`,
} as const;
