/** Words of imports, by the file that shows them: what one does not show is not sent to its browser. */

export const IMPORTS_VIEW = {
  theListCouldNot: (status: number) => `The list could not be refreshed (${status}).`,
  imports: "Imports",
  aDropIsAny:
    "A drop is any set of the contract’s files (sites, inverters, sections, codes, faults, telemetry, readings, stations, weather, inspections, repairs, visits, crews, coverage), plain or gzip, or tables of your own. Importing one again changes nothing.",
  firstStepsAndThe: "First steps and the demo",
  dropsSoFar: "Drops so far",
  theListCouldNotBe: "The list could not be refreshed; it is tried again by itself.",
  nothingHasBeenImported: "Nothing has been imported yet.",
  drop: "Drop",
  askedFor: "Asked for",
  by: (requestedAt: string, requestedBy: string) => `${requestedAt} by ${requestedBy}`,
  state: "State",
  rows: "Rows",
  accepted: "Accepted",
  unchanged: "Unchanged",
  setAside: "Set aside",
  running: (share: number) => `running ${share} %`,
  progressOfTheImport: "Progress of the import",
  waitsForYourWord: "waits for your word on its columns",
} as const;

export const IMPORTS_PAGE = {
  imports: "Imports",
} as const;

export const PASTE_ROWS = {
  pasteFromASpreadsheet: "Paste from a spreadsheet",
  rowsWithTheirHeadings: "Rows with their headings",
  copyTheCellsIn: "Copy the cells in the spreadsheet, headings too, and paste them here",
  nameOfThisTable: "Name of this table (optional)",
  pastedRows: "pasted rows",
  importPastedRows: "Import pasted rows",
  importPasted: (lines: number, text: string) => `Import ${lines} pasted ${text}`,
} as const;

export const UPLOAD_BOX = {
  theUploadWasRefused: (status: number) => `The upload was refused (${status}).`,
  theUploadWasCut: "The upload was cut off. Nothing was imported; try again.",
  uploadADrop: "Upload a drop",
  dragFilesOrA:
    "Drag files or a folder here, or choose them: the contract’s own, published weather, or any table as CSV. Where its columns have other names, units or times, you are asked before anything is stored.",
  files: "Files",
  portfolioForSitesWithout: "Portfolio for sites without one (optional)",
  sending: (share: number) => `Sending ${share} %`,
  progressOfTheUpload: "Progress of the upload",
} as const;

export const WEATHER_FEED_PANEL = {
  theStateOfThe: (status: number) => `The state of the weather feed could not be read (${status}).`,
  weatherFeed: "Weather feed",
  hourlyObservationsAndForecasts: "Hourly observations and forecasts are asked for at",
  everyHourAnHour: ", every hour. An hour that the service does not report stays unknown.",
  stop: "Stop",
  fetchNow: "Fetch now",
  nothingWasFetchedYet: "Nothing was fetched yet.",
  fetchingOfStations: (stationsDone: number, stationsTotal: number) =>
    `Fetching: ${stationsDone} of ${stationsTotal} stations`,
  progressOfTheWeather: "Progress of the weather feed",
  lastRunAskedFor: (requestedAt: string, requestedBy: string, status: string, requests: number, hoursChanged: string) =>
    `Last run ${requestedAt}, asked for by ${requestedBy}: ${status}, ${requests} requests, ${hoursChanged} hours new or changed.`,
  theServiceAskedFor: (quietUntil: string) => ` The service asked for quiet until ${quietUntil}.`,
  stationsOfTheWeather: "Stations of the weather feed",
  station: "Station",
  newestHour: "Newest hour",
  observed: (lastHour: string) => `observed ${lastHour}`,
  noneYet: "none yet",
  asked: "Asked",
  notYet: "not yet",
  state: "State",
  answers: "answers",
} as const;

export const CODES_TABLE = {
  whatItsCodesMean: "What its codes mean",
  vocabulary: "Vocabulary",
  sayWhich: "say which",
  theFilesOwnAs: "the file’s own, as said below",
  sunspecEventBitsOr: "SunSpec event bits or names",
  codesOf: (file: string) => `Codes of ${file}`,
  code: "Code",
  messageOfOneSuch: "Message of one such row",
  readsLikeAGround: "reads like a ground fault: is it?",
  anotherFault: "another fault",
} as const;

export const COLUMN_FORM = {
  yearMonthDay: "year, month, day: 2025/4/3",
  monthDayYearIs: "month, day, year: 4/3/2025 is 3 April",
  dayMonthYearIs: "day, month, year: 4/3/2025 is 4 March",
  monthByNameApr: "month by name: 3 Apr 2025",
  secondsSince: "seconds since 1970",
  millisecondsSince: "milliseconds since 1970",
  dayNumberOfA: "day number of a spreadsheet",
  howIsWritten: (heading: string) => `How ${heading} is written`,
  howIsItWritten: "how is it written?",
  whoseClockTells: (heading: string) => `Whose clock ${heading} tells`,
  unitOf: (heading: string) => `Unit of ${heading}`,
  inWhichUnit: "in which unit?",
  whoseClock: "whose clock?",
  theSitesOwnClock: "the site’s own clock",
  utc: "UTC",
} as const;

export const COLUMN_TABLE = {
  columnsOf: (file: string) => `Columns of ${file}`,
  column: (at: number) => `column ${at}`,
  empty: "empty",
  timeOfDayOf: (to: string) => `time of day of ${to}`,
  isReadAs: (heading: string) => `${heading} is read as`,
  notRead: "not read",
  needed: " (needed)",
} as const;

export const FILE_MAPPING = {
  lookingAtItsColumns: "Looking at its columns …",
  columnsLikeTheseWere: (name: string, madeBy: string) =>
    `Columns like these were read before, as “${name}” by ${madeBy}: filled in the same way.`,
  thisFileHolds: "This file holds",
  sayWhat: "say what",
  numbersHaveA: "Numbers have a",
  sayWhich: "say which",
  decimalPoint: "decimal point (1.5)",
  decimalComma: "decimal comma (1,5)",
  cellsArePartedBy: "Cells separated by",
  headingsStandInRow: "Headings in row",
  theBeginningOfThe: ", the beginning of the file",
  rowsWereLookedAt: (text: string, rows: string, text2: string) => `${text}. ${rows} rows were looked at${text2}.`,
  notReadWhatThey: (leftOut: string) => `Not read: ${leftOut}. What they hold is not stored.`,
  rememberThisForFiles: "Remember this for files with the same headings as (empty: do not remember)",
  toSayBeforeIt: "To say before it can be imported",
} as const;

export const FIXED_VALUES = {
  theSameInEvery: "The same in every row",
  sayWhich: "say which",
} as const;

export const IMPORT_VIEW = {
  theImportCouldNot: (status: number) => `The import could not be read (${status}).`,
  loading: "Loading …",
  allImports: "All imports",
  askedForBy: (requestedAt: string, requestedBy: string) => `asked for ${requestedAt} by ${requestedBy}`,
  cancel: "Cancel",
  rowsAcceptedUnchangedSet: (rows: string, accepted: string, unchanged: string, setAside: string) =>
    `${rows} rows: ${accepted} accepted, ${unchanged} unchanged, ${setAside} set aside.`,
  toTheRankedSites: "To the ranked sites",
  filesOfThisDrop: "Files of this drop",
  file: "File",
  state: "State",
  reading: (floor: number) => `reading ${floor} %`,
  rows: "Rows",
  accepted: "Accepted",
  unchanged: "Unchanged",
  setAside: "Set aside",
  notes: "Notes",
} as const;

export const MAPPING_WORK = {
  theFilesOfThis: (status: number) => `The files of this upload could not be read (${status}).`,
  readingTheFiles: "Reading the files …",
  thisFileIs: "this file is",
  theseFilesAre: "these files are",
  nothingIsStoredYet: (text: string) =>
    `Nothing is stored yet. Say how ${text} to be read; what names and values decide is filled in, and what they leave open is asked.`,
  plainByThemselves: (text: string) => `Plain by themselves: ${text}.`,
  leaveThisFileOut: "Leave this file out: its rows are set aside, not lost",
  import: "Import",
  stillToSay: (waitsFor: string) => `Still to say: ${waitsFor}`,
  everythingIsSaid: "Everything is said.",
} as const;

export const IMPORTS_ONE_PAGE = {
  import: "Import",
} as const;

export const SET_ASIDE = {
  rowsSetAside: "Rows set aside",
  correctThemHereAnd: "Correct them here and send them in again, or download them, correct the file and import it.",
  downloadTheRowsSet: "Download the rows set aside",
  file: "File",
  line: "Line",
  column: "Column",
  value: "Value",
  why: "Why",
  correct: "Correct",
  theFirstOfThe: (setAsideRows: number, setAside: number) =>
    `The first ${setAsideRows} of ${setAside}; the download has all.`,
  sendCorrectedRowsIn: "Send corrected rows in",
  sendCorrectedIn: (changed: number, text: string) => `Send ${changed} corrected ${text} in`,
  sentInSeeWhat: "Sent in: see what came of it",
  sentInAgain: "sent in again",
  inTheDownload: "in the download",
  leaveAsItWas: "Leave as it was",
  theReason: " (the reason)",
} as const;

export const WORDS_TABLE = {
  whatItsWordsMean: "What its words mean",
  wordsOf: (file: string) => `Words of ${file}`,
  noneOfTheseSet: "none of these: set such rows aside",
} as const;
