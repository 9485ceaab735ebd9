import ical, { ICalCalendarMethod, ICalEventStatus } from "ical-generator";
import type { Instant } from "../core/records.ts";
import { cautionText } from "../grounding/cautions.ts";

export interface CalendarStop {
  visitId: string;
  siteName: string;
  latitude: number;
  longitude: number;
  start: Instant;
  depart: Instant;
  makeSafe: boolean;
}

export interface CalendarDay {
  day: string;
  confirmedAt: Instant;
  /** Rises with every change of the plan. */
  sequence: number;
  stops: CalendarStop[];
}

/**
 * A crew's days as iCalendar (RFC 5545), times in UTC. A visit keeps its UID wherever it is moved, so a calendar moves
 * the entry and does not double it. Names of customers and how to get in stay out of it: a link can be passed on.
 */
export function crewCalendar(crewName: string, days: readonly CalendarDay[]): string {
  const calendar = ical({
    name: `Visits of ${crewName}`,
    prodId: { company: "Raintrip", product: "Crew calendar", language: "EN" },
    method: ICalCalendarMethod.PUBLISH,
    ttl: 15 * 60,
  });
  for (const { stops, confirmedAt, sequence } of days) {
    for (const stop of stops) {
      calendar.createEvent({
        id: `${encodeURIComponent(stop.visitId)}@raintrip`,
        stamp: new Date(confirmedAt),
        lastModified: new Date(confirmedAt),
        sequence,
        status: ICalEventStatus.CONFIRMED,
        start: new Date(stop.start),
        end: new Date(stop.depart),
        summary: `${stop.makeSafe ? "Make safe: " : ""}${stop.siteName}`,
        location: {
          title: stop.siteName,
          geo: { lat: stop.latitude, lon: stop.longitude },
        },
        description: `Visit ${stop.visitId}. ${cautionText(["all_metal_live", "stop_limit"])}`,
      });
    }
  }
  return calendar.toString();
}
