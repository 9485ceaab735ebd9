import type { Role } from "@/lib/core/permissions.ts";

/**
 * What the shell, the shared components, the statuses and the errors say. A translation is this file and its neighbours
 * in another language: whole sentences with what is put into them, never pieces of one.
 */
export const SHARED = {
  product: "Raintrip",
  promise: "Which PV sites trip with the rain because their metal is not bonded",
  foot: "Treat all metal as live: PV conductors cannot be switched off in light. Measure before touching. Raintrip never calls a site safe; a qualified person, licensed practice and the local authority decide.",
  skip: "To the content",
  demoPerson: "invented person",
  signOut: "Sign out",
  signOutFailed: "The server did not answer; you are still signed in.",
  loading: "Loading",
  toRankedSites: "To the ranked sites",
  closeMessage: "Close",
  cancel: "Cancel",
} as const;

export const NAV = {
  main: "Main",
  menu: "Menu: ",
  noPage: "Pages",
  books: "Books",
  sites: "Sites",
  visits: "Visits",
  plan: "Plan",
  alerts: "Alerts",
  exposure: "Exposure",
  coverage: "Coverage",
  calibration: "Calibration",
  parameters: "Parameters",
  imports: "Imports",
  system: "System",
  access: "Access",
  glossary: "Glossary",
  alertsUnknown: "Not known: no answer from the server",
  alertsWaiting: "that nobody has",
  people: "People",
  tokens: "Tokens",
  audit: "Audit log",
} as const;

export const URGENCY = { make_safe: "Make safe", urgent: "Urgent", planned: "Planned", watch: "Watch" } as const;

export const FIX = {
  held: "Held",
  trips_go_on: "Trips go on",
  no_recurrence_seen: "No recurrence seen",
  too_early: "Too early to say",
  openAgain: ", open again",
} as const;

export const ISOLATED = {
  word: "ISOLATED",
  since: "since",
  says: "Isolation stops AC and inverter current only: treat all metal as live.",
} as const;

export const ROLE: Record<Role, string> = {
  administrator: "administrator",
  manager: "manager",
  dispatcher: "dispatcher",
  owner: "owner",
  technician: "technician",
};

export const CHART = {
  asTable: "The same as a table",
  tableOf: (title: string) => `${title} as a table`,
  picture: "Picture (PNG)",
  numbers: "Numbers (CSV)",
  of: (title: string) => ` of ${title}`,
  notDrawn: "The picture is not drawn yet. Try again in a moment.",
} as const;

export const TROUBLE = {
  pageTitle: "This page could not be shown",
  page: "The database may be restarting, or something went wrong inside Raintrip. Nothing you stored is lost. Try again; if it stays, run",
  awayTitle: "Raintrip does not answer at the moment",
  away: "The server or its database is away; it may be restarting. Nothing you stored is lost. This page is asked for again by itself and shows as soon as it can. What it would show is not known now: that clears no site. If it stays away, run",
  doctor: "npm run raintrip -- doctor",
  look: (digest: string | undefined) => `and look at the server’s output${digest ? ` for ${digest}` : ""}.`,
  tryAgain: "Try again",
  roleTitle: "Your role does not open this page",
  role: "What you may see and do is set by an administrator under Access. Ask one if you need this page.",
  nothingTitle: "There is nothing here",
  nothing: "The address is wrong, or what it named is gone.",
} as const;

export const KNOWN = {
  notKnown: "not known",
  notRecorded: "not recorded",
  notGiven: "not given",
  justNow: "just now",
  minutesAgo: (n: number) => `${n} min ago`,
  hoursAgo: (n: number) => `${n} h ago`,
  daysAgo: (n: number) => `${n} days ago`,
  yourTime: (time: string, zone: string) => `Your time: ${time} (${zone})`,
} as const;
