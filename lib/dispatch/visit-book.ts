import type { Instant, Visit } from "../core/records.ts";

const DAY_MS = 86_400_000;

/** Recorded visits as the queue looks them up. */
export interface Bookings {
  bySite: ReadonlyMap<string, readonly Visit[]>;
  visitIds: ReadonlySet<string>;
}

export function bookingsOf(visits: readonly Visit[]): Bookings {
  const bySite = new Map<string, Visit[]>();
  for (const visit of visits) {
    const booked = bySite.get(visit.siteId);
    if (booked) booked.push(visit);
    else bySite.set(visit.siteId, [visit]);
  }
  return { bySite, visitIds: new Set(visits.map((visit) => visit.visitId)) };
}

/** The visit of a site that is still to come: promised before planned, then the earliest, then by id. */
export function openVisit(booked: readonly Visit[]): Visit | null {
  const rank = (visit: Visit) => (visit.status === "promised" ? 0 : 1);
  const open = booked.filter((visit) => visit.status === "planned" || visit.status === "promised");
  open.sort(
    (a, b) =>
      rank(a) - rank(b) ||
      (a.promisedFrom ?? Infinity) - (b.promisedFrom ?? Infinity) ||
      (a.visitId < b.visitId ? -1 : 1),
  );
  return open[0] ?? null;
}

/**
 * When the latest finished visit of a site ended, if that was in the last `days`.
 * A finished visit without a time is taken for none: when it was is not known.
 */
export function recentlyDone(booked: readonly Visit[], asOf: Instant, days: number): Instant | null {
  const ends = booked
    .filter((visit) => visit.status === "done")
    .map((visit) => visit.promisedTo ?? visit.promisedFrom)
    .filter((end): end is Instant => end !== null && end <= asOf && end > asOf - days * DAY_MS);
  return ends.length > 0 ? Math.max(...ends) : null;
}

/**
 * Id for a new visit of a site: `visit-1-SITE`, then `visit-2-SITE` and on where earlier visits hold those.
 * The same records give the same id, so a queue read twice names a visit alike, and no two sites share one.
 */
export function visitIdFor(siteId: string, taken: ReadonlySet<string>): string {
  for (let n = 1; ; n++) if (!taken.has(`visit-${n}-${siteId}`)) return `visit-${n}-${siteId}`;
}
