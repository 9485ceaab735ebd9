/** Words of parameters, by the file that shows them: what one does not show is not sent to its browser. */

export const CHANGE_LIST = {
  rowsThatDiffer: "Rows that differ",
  row: "Row",
  unit: "Unit",
  before: "Before",
  after: "After",
  spreadBefore: "Spread before",
  spreadAfter: "Spread after",
  restsOn: "Rests on",
} as const;

export const LEARNED_PROPOSAL = {
  row: "row",
  rows: "rows",
  ratesOfOnsetsAnd: (changes: number, text: string) => `Rates of onsets and checks: ${changes} ${text}`,
  whatConfirmedVisitsTeach: "What confirmed visits teach",
  confirmedCameBeforeThe: (withoutScore: number, text: string) =>
    ` ${withoutScore} confirmed ${text} came before the first score of the site and cannot be used.`,
  eachConfirmedVisitIs: (text: string) =>
    `Each confirmed visit is set against what was stated of its site before it, so that visiting suspicious sites teaches nothing by itself. A cause that nobody looked for counts on neither side. Base rates, rates of onsets, how well each check finds, and how far each inspector differs from the fleet are learned; a row that would hardly move is left out.${text}`,
  noConfirmedVisitCame: "No confirmed visit came after a score yet, so there is nothing to learn from.",
  theTableInForce: (outcomes: number) => `The table in force already holds what ${outcomes} outcomes teach.`,
  outcome: "outcome",
  outcomes: "outcomes",
  wouldMove: (outcomes: number, text: string, changes: number, text2: string) =>
    `${outcomes} ${text} would move ${changes} ${text2}:`,
  learnedFrom: (outcomes: number, text: string) => `Learned from ${outcomes} ${text}`,
  lookAtThisProposal: "Look at this proposal",
} as const;

export const PARAMETERS_PAGE = {
  parameters: "Parameters",
} as const;

export const PARAMETER_HISTORY = {
  rolledBack: "rolled back",
  theProgramsDefaults: "the program’s defaults",
  backTo: (to: string) => `Back to ${to}`,
  goBackTo: (to: string) => `Go back to ${to}`,
  noVersionWasSaved: "No version was saved yet: the program’s defaults are in force.",
  version: (version: number) => `Version ${version}`,
  to: (restores: string) => ` to ${restores}`,
  version2: (version: number, text: string, text2: string) => `Version ${version}, ${text}${text2}`,
  by: (person: string) => `by ${person},`,
  inForce: " · in force",
  from: (parent: string, text: string) => `, from ${parent}${text}`,
  rowDiffers: "row differs",
  rowsDiffer: "rows differ",
  from2: (changes: number, text: string, parent: string) => `${changes} ${text} from ${parent}`,
  version3: (version: number) => `version ${version}`,
} as const;

export const PARAMETER_TABLE = {
  commonPractice: "common practice",
  engineeringJudgement: "engineering judgement",
  group: "Group",
  all: "all",
  searchAllRows: "Search all rows",
  ofRowsTheSpread: (shown: number, rows: number) =>
    `${shown} of ${rows} rows. The spread is a standard deviation on the log scale; for a probability on the log-odds scale.`,
  noRowMatches: "No row matches.",
  parameterRows: "Parameter rows",
  row: "Row",
  value: "Value",
  unit: "Unit",
  spread: "Spread",
  default: "Default",
  whereItComesFrom: "Where it comes from",
  edit: "Edit",
  changedNotSaved: "· changed, not saved",
  theSame: "the same",
  spread2: (value: string, spread: string) => `${value}, spread ${spread}`,
  edit2: (key: string) => `Edit ${key}`,
  value2: (unit: string) => `Value, ${unit}`,
  set: "Set",
  asStored: "As stored",
  cancel: "Cancel",
} as const;

export const PARAMETERS_VIEW = {
  parameters: "Parameters",
  everyNumberThatA:
    "Every number that a diagnosis rests on, with its unit, its spread and where it comes from. In force:",
  theProgramsDefaults: (name: string) => `the program’s defaults (${name})`,
  version: (version: number) => `version ${version}`,
  aChangeIsA: ". A change is a new version; nothing is overwritten, and scores are computed anew from it.",
  versionIsSavedScores: (saved: number) =>
    `Version ${saved} is saved. Scores are being computed anew; this takes a while.`,
  onlyAnAdministratorChanges: "Only an administrator changes parameters.",
  rows: "Rows",
  history: "History",
  changed: (changes: number, text: string) => `${changes} ${text} changed`,
} as const;

export const PREVIEW_AND_SAVE = {
  changeToLookAt: "Change to look at",
  previewWhatWouldMove: "Preview what would move",
  stop: "Stop",
  dropThisChange: "Drop this change",
  theyAreSpreadEvenly: (fleet: number) =>
    `They are spread evenly over the ${fleet} sites; the others are not shown here.`,
  ofSitesCompared: (done: number, total: number, text: string, text2: string) =>
    `${done} of ${total} sites compared${text} ${text2}`,
  sitesCompared: "Sites compared",
  whyKeptInThe: "Why (kept in the history)",
  saveAsANew: "Save as a new version",
  previewFirstThenIt: "Preview first; then it can be saved.",
} as const;

export const PREVIEW_TABLE = {
  noneOfTheSites: "None of the sites compared would move.",
  wouldMove: "would move,",
  theLargestMovesAre: (text: number) => ` The ${text} largest moves are shown.`,
  ofThemInUrgency: (text: string) => `of them in urgency.${text}`,
  sitesThatWouldMove: "Sites that would move",
  site: "Site",
  urgencyNow: "Urgency now",
  theSame: "the same",
  bondingDefectNow: "Bonding defect now",
  energisedMetalNow: "Energised metal now",
} as const;
