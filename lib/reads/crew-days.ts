import "server-only";
import type { Crew, Instant, Site } from "../core/records.ts";
import { crewDayKey } from "../dispatch/plans/plan-holds.ts";
import type { StoredPlanVisit } from "../dispatch/plans/stored-plan.ts";
import type { CalendarDay } from "../report/crew-calendar.ts";
import { plansInForce, storedPlan } from "../store/plans.ts";
import { crews, sitesOf } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";

/** A stop of a crew's day as it went out. */
export interface CrewStop {
  visit: StoredPlanVisit;
  site: Site;
  arrive: Instant;
  start: Instant;
  depart: Instant;
  driveKm: number;
  driveMinutes: number;
}

/** A crew's day by the plan that holds for it. */
export interface CrewDayRoute {
  planId: string;
  crew: Crew;
  day: string;
  leave: Instant | null;
  return: Instant | null;
  returnKm: number;
  confirmedAt: Instant;
  revision: number;
  closed: boolean;
  stops: CrewStop[];
}

/** The days of crews in a span, each by the plan that holds for it; days without a confirmed plan are absent. */
export async function crewDaysInForce(
  tx: Sql,
  { from, to, crewId }: { from: string; to: string; crewId?: string },
): Promise<CrewDayRoute[]> {
  const inForce = (await plansInForce(tx, from, to)).filter((d) => crewId === undefined || d.crewId === crewId);
  const known = new Map((await crews(tx)).map((crew) => [crew.crewId, crew]));
  const routes: CrewDayRoute[] = [];
  for (const planId of new Set(inForce.map((d) => d.planId))) {
    const plan = await storedPlan(tx, planId);
    if (!plan) continue;
    const own = new Set(inForce.filter((d) => d.planId === planId).map(crewDayKey));
    const stops = plan.visits.filter((v) => v.stop && own.has(crewDayKey(v.stop)));
    const sites = await sitesOf(tx, [...new Set(stops.map((v) => v.siteId))]);
    for (const d of plan.crewDays.filter((each) => own.has(crewDayKey(each)))) {
      const crew = known.get(d.crewId);
      if (!crew) continue;
      routes.push({
        ...{ planId, crew, day: d.day, leave: d.leave, return: d.return, returnKm: d.returnKm ?? 0 },
        ...{ confirmedAt: plan.confirmedAt ?? plan.madeAt, revision: plan.revision, closed: d.closedBy !== null },
        stops: stops.flatMap((visit): CrewStop[] => {
          const site = sites.get(visit.siteId);
          if (!site || !visit.stop || crewDayKey(visit.stop) !== crewDayKey(d)) return [];
          const { arrive, start, depart, driveKm, driveMinutes } = visit.stop;
          return [{ visit, site, arrive, start, depart, driveKm, driveMinutes }];
        }),
      });
    }
  }
  for (const route of routes) route.stops.sort((a, b) => a.start - b.start);
  return routes.sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.crew.crewId < b.crew.crewId ? -1 : 1));
}

/** The same as a calendar shows it. */
export const calendarDay = (route: CrewDayRoute): CalendarDay => ({
  day: route.day,
  confirmedAt: route.confirmedAt,
  sequence: route.revision,
  stops: route.stops.map(({ visit, site, start, depart }) => ({
    ...{
      visitId: visit.visitId,
      siteName: site.name,
      latitude: site.latitude,
      longitude: site.longitude,
      start,
      depart,
    },
    makeSafe: visit.basis.urgency === "make_safe",
  })),
});
