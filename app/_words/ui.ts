/** Words of ui, by the file that shows them: what one does not show is not sent to its browser. */

export const FIX_STATE = {
  openAgainSilenceNo: "open again: silence no longer settles it",
  silenceAloneWouldNot: "silence alone would not get there",
  noneIsReached: "none: 95 % is reached",
  aDateCannotBe: (hours: string) => `${hours}; a date cannot be given`,
  byTheStationsUsual: "by the station’s usual wetness",
  byThePaceOf: "by the pace of the log",
  unitHours: (max: number) => `${max} unit-hours`,
  about: (hours: string, expectedBy: string, from: string) => `${hours}, about ${expectedBy} ${from}`,
} as const;

export const ON_PHONE = {
  allRows: "Show all rows",
  fewerRows: "Show fewer rows",
} as const;

export const RAIN_STRIP_CHART = {
  notKnown: "not known",
  twelveMonthsOfRain: "Twelve months of rain, dew and ground faults",
  oneDayToA:
    "One day to a place from left to right: rain and dew stand above the line, ground-fault onsets hang below it. Marks below that follow the bars above are faults that follow the rain; a dotted line is weather that nobody observed.",
  day: "Day",
  rain: "Rain",
  dewH: "Dew, h",
  groundFaultOnsets: "Ground-fault onsets",
} as const;

export const RAIN_STRIP_PATHS = {
  noGroundFault: "no ground fault",
  groundFaultOnsetOn: (onsets: number, text: string, onWetDays: number) =>
    `${onsets} ground-fault onset${text}, ${onWetDays} on a rain day or the day after`,
  weatherNotKnownOn: (unknownDays: number) => `, weather not known on ${unknownDays} days`,
  twelveMonthsToRain: (endDay: string, rainDays: number, unknown: string, faults: string) =>
    `Twelve months to ${endDay}: ${rainDays} rain days${unknown}, ${faults}.`,
} as const;

export const RAIN_STRIP = {
  rain: "rain",
  dew: "dew",
  groundFaultOnsetsBelow: "ground-fault onsets, below the line",
  weatherNotKnown: "weather not known",
} as const;

export const SENT_PICTURE = {
  taken: (when: string) => `taken ${when}`,
  timeNotKept: "time not kept",
  photo: "Photo",
} as const;

export const SHRINK_PHOTO = {
  thisFileIsNot: "This file is not a picture that the phone can read.",
  thisPhotoHasMb: (mb: number) =>
    `This photo has ${mb} MB and the phone cannot open it. Take it again at a lower size.`,
  thePhotoCouldNot: "The photo could not be made smaller.",
} as const;

export const TERM = {
  theGlossaryHasNo: (id: string) => `the glossary has no term ${id}`,
} as const;

export const VISIT_PAPERS = {
  checklistPdf: "Checklist (PDF)",
  reportPdf: "Report (PDF)",
  nothingHasBeenWritten: "Nothing has been written of a visit yet.",
  visitsAndTheirReports: "Visits and their reports",
  visit: "Visit",
  site: "Site",
  written: "Written",
  signed: "Signed",
  report: "Report",
  to: "to",
  entry: "entry",
  entries: "entries",
  yes: "yes",
  notYet: "not yet",
} as const;

export const SERVER_AWAY = {
  noAnswer:
    "The server does not answer; it may be restarting. What you typed here stays. If you sent something, look first whether it arrived before you send it again.",
  answered: (status: number) => `The server answered ${status}.`,
} as const;
