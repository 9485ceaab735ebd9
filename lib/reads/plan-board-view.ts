import type { Urgency } from "./documents.ts";

/** Minutes after midnight on the crew's clock. */
type ClockMinute = number;

export interface BoardStop {
  visitId: string;
  siteId: string;
  siteName: string;
  urgency: Exclude<Urgency, "watch">;
  /** `HH:MM` on the crew's clock. */
  arrive: string;
  start: string;
  depart: string;
  from: ClockMinute;
  to: ClockMinute;
  driveFrom: ClockMinute;
  driveTo: ClockMinute;
  driveKm: number;
  driveMinutes: number;
  promised: boolean;
  pinnedBy: string | null;
  frozen: boolean;
}

export interface BoardDay {
  crewId: string;
  crewName: string;
  day: string;
  shift: { from: ClockMinute; to: ClockMinute; says: string };
  light: { from: ClockMinute; to: ClockMinute } | null;
  /** Hours that keep people off a roof at a site of the day, by forecast. */
  bands: { from: ClockMinute; to: ClockMinute; why: string }[];
  /** Whether a forecast covers the day at any of its sites. */
  forecast: boolean;
  leave: string | null;
  return: string | null;
  homeFrom: ClockMinute | null;
  homeTo: ClockMinute | null;
  km: number;
  value: number;
  lockedBy: string | null;
  addedBy: string | null;
  closedBy: string | null;
  stops: BoardStop[];
}

export interface PlanBoardView {
  planId: string;
  from: string;
  days: number;
  state: "draft" | "confirmed" | "superseded";
  revision: number;
  objective: number;
  gap: number | null;
  notes: string[];
  madeBy: string;
  madeAt: string;
  confirmedBy: string | null;
  confirmedAt: string | null;
  basedOn: string | null;
  replanFrom: string | null;
  currency: string;
  crewDays: BoardDay[];
  unserved: {
    visitId: string;
    siteId: string;
    siteName: string;
    urgency: Exclude<Urgency, "watch">;
    avoided: number | null;
    /** A code of the contract, `taken_out` or `planned_elsewhere`. */
    code: string;
    why: string;
  }[];
  /** Rules that the plan breaks by what is recorded now. */
  broken: string[];
  /** Sites with roof work that no forecast covers. */
  withoutForecast: number;
  /** Crew-days on which a crew does not work as recorded, and could. */
  idle: { crewId: string; crewName: string; day: string }[];
  /** Crews whose day goes on now, when this plan holds. */
  goingOn: { crewId: string; crewName: string }[];
  changes: { seq: number; at: string; person: string; says: string; reason: string | null }[];
  map: PlanMap;
}

/** A map as drawn: paths and points in a box of the given size. */
export interface PlanMap {
  width: number;
  height: number;
  states: string;
  counties: string;
  graticule: string;
  sites: { visitId: string; siteName: string; urgency: Exclude<Urgency, "watch">; x: number; y: number }[];
  bases: { crewId: string; crewName: string; x: number; y: number }[];
  /** Straight lines between stops, by crew-day. */
  routes: { crewId: string; day: string; path: string }[];
}

/** Where a visit could go and what that would change. */
export interface MoveOptionView {
  crewId: string | null;
  crewName: string;
  day: string | null;
  position: number;
  sameDay: boolean;
  /** What the place is called in a sentence. */
  says: string;
  value: number;
  km: number;
  lateMinutes: number;
  broken: string[];
  hazardsLater: string[];
  /** A reason has to be given. */
  needsReason: boolean;
}

export interface MovesView {
  visitId: string;
  siteName: string;
  revision: number;
  currency: string;
  options: MoveOptionView[];
}

export interface PlanListItem {
  planId: string;
  from: string;
  days: number;
  state: "draft" | "confirmed" | "superseded";
  objective: number;
  madeBy: string;
  madeAt: string;
  confirmedAt: string | null;
}

/** What planning anew with one crew-day more would change. */
export interface AddedDayView {
  visits: number;
  value: number;
  km: number;
}
