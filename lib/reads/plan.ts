import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { isoInZone } from "../core/zoned-time.ts";
import { DEFAULT_DISPATCH_PARAMETERS } from "../dispatch/dispatch-parameters.ts";
import { USUAL_EFFORT } from "../dispatch/routes/plan-effort.ts";
import type { PlanInput, VisitToPlan } from "../dispatch/routes/plan-input.ts";
import { type PlanInstance, planInstance } from "../dispatch/routes/plan-instance.ts";
import type { PlannedRoutes } from "../dispatch/routes/plan-routes.ts";
import { type PlanSheet, planSheet } from "../dispatch/routes/plan-sheet.ts";
import { roadPlaces } from "../dispatch/routes/road-table.ts";
import { type PlanAsk, planInThread } from "../jobs/plan-thread.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { siteHolds } from "../store/site-holds.ts";
import { crews, sitesOf, visitsOf } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { positionOf, storedWays } from "../store/travel-times.ts";
import { openWetLooks } from "../store/wet-looks.ts";
import { wetLook } from "../visit/wet-look.ts";
import { basesOffLand } from "./bases-on-land.ts";
import type { PlanDocument, QueueDocument } from "./documents.ts";
import { siteOutlooks } from "./plan-outlook.ts";
import { holdSays, queueDocument } from "./queue.ts";
import { whenFresh } from "./when-fresh.ts";

const DAY_HOURS = 24;

const whole = (least: number, most: number) => z.coerce.number().int().min(least).max(most);

export const PlanQuery = z.object({
  from: z.iso.date("a date YYYY-MM-DD"),
  days: whole(1, 14),
  seed: whole(0, 2 ** 31).default(1),
  effort: whole(0, 100_000).default(USUAL_EFFORT),
});
export type PlanQuery = z.infer<typeof PlanQuery>;

/**
 * A plan for the queue as last computed. Same records, forecasts, seed and effort: same plan.
 * @param watch asked whether to stop, and told how far it is
 * @param onBlind told the sites whose roof work no forecast covers: the sky has to be looked at by people there
 */
export async function readPlan(
  actor: Actor,
  query: PlanQuery,
  onBlind: (siteIds: string[]) => void = () => {},
  watch: Pick<PlanAsk, "stopped" | "onWord"> = {},
): Promise<PlanDocument> {
  authorise(actor, "plan.read");
  const { asOf, input, blind } = await readTransaction(actor, (tx) => planInput(tx, query));
  onBlind(blind);
  const planned = planInstance(input);
  const { seed, effort } = query;
  const found = await planInThread({ instance: planned.instance, seed: String(seed), effort, ...watch });
  return planDocument(asOf, input, planned, found);
}

/** What was found, as the document that every door gives. */
export function planDocument(
  asOf: string | null,
  input: PlanInput,
  planned: PlanInstance,
  { routes, hazards, objective, bound, gap }: PlannedRoutes,
): PlanDocument {
  const sheet = sheetDocument(planSheet(input, planned, routes));
  return { as_of: asOf, ...sheet, notes: [...planned.notes, ...hazardNotes(hazards)], objective, bound, gap };
}

/** That a hazard waits is said, and whether another plan could help it. */
export function hazardNotes({ leftOut, most }: PlannedRoutes["hazards"]): string[] {
  if (leftOut === 0) return [];
  const limit =
    most === null ? "" : ` No plan of these crews and days makes more than ${most}; it takes more crew hours.`;
  const who = leftOut === 1 ? "One make-safe visit has" : `${leftOut} make-safe visits have`;
  return [`${who} no place in these days: keep people off the metal there.${limit}`];
}

/** The same over HTTP: waits for the worker to bring the queue up to date. */
export async function readPlanWhenFresh(actor: Actor, query: PlanQuery): Promise<PlanDocument> {
  authorise(actor, "plan.read");
  await whenFresh(actor);
  await noteSeen(actor, "plan.export", `${query.from}, ${query.days} days`);
  return readPlan(actor, query);
}

/** A visit without its site's records and bookings. */
export type WantedVisit = Omit<VisitToPlan, "site" | "booked"> & { siteId: string };

/** The visits of the queue as a plan wants them; those that are allowed in the wet shrink to what is looked at then. */
export async function visitsToPlan(tx: Sql, queue: QueueDocument): Promise<WantedVisit[]> {
  const wanted = wantedVisits(queue);
  const looks = await openWetLooks(tx);
  if (looks.size === 0) return wanted;
  const sites = await sitesOf(tx, [...new Set([...looks.values()].map((look) => look.siteId))]);
  return wanted.map((visit, at) => {
    if (!looks.has(visit.visitId) || visit.urgency === "make_safe") return visit;
    const look = wetLook(queue.visits[at]?.checklist ?? [], sites.get(visit.siteId)?.mounting ?? null);
    if (!look) return visit;
    const { hoursOnSite, skills } = look;
    return { ...visit, hoursOnSite, skills, liveMeasurement: false, inTheWet: "allowed" };
  });
}

/** The visits of the queue as a plan wants them. */
const wantedVisits = ({ visits }: QueueDocument): WantedVisit[] =>
  visits.map((visit) => ({
    visitId: visit.visit_id,
    siteId: visit.site_id,
    urgency: visit.urgency,
    avoided: visit.expected_loss_avoided,
    hoursOnSite: visit.hours_on_site,
    skills: visit.skills,
    liveMeasurement: visit.checklist.some((item) => item.unit === "volt"),
  }));

/**
 * Visits, crews, days and forecasts as they are recorded now.
 * @param wanted visits to plan; by default those of the queue
 */
export async function planInput(
  tx: Sql,
  query: Pick<PlanQuery, "from" | "days">,
  wanted?: readonly WantedVisit[],
): Promise<{ asOf: string | null; input: PlanInput; blind: string[] }> {
  const queue = wanted ? null : await queueDocument(tx);
  const asked = wanted ?? (queue ? await visitsToPlan(tx, queue) : []);
  const looks = await openWetLooks(tx);
  const holds = await siteHolds(tx);
  const siteIds = [...new Set(asked.map((visit) => visit.siteId))];
  const sites = await sitesOf(tx, siteIds);
  const booked = new Map((await visitsOf(tx, siteIds)).map((visit) => [visit.visitId, visit]));
  const visits = asked.flatMap(({ siteId, ...visit }): VisitToPlan[] => {
    const site = sites.get(siteId);
    if (!site) return [];
    const hold = holds.get(siteId);
    const held = hold ? { held: { until: hold.until, says: holdSays(hold) } } : {};
    const now = { ...visit, site, booked: booked.get(visit.visitId) ?? null, ...held };
    return [visit.inTheWet && !looks.has(visit.visitId) ? { ...now, inTheWet: "taken_back" as const } : now];
  });
  const { roadFactor, speedKmh, defaultHourlyCost, defaultCostPerKm } = DEFAULT_DISPATCH_PARAMETERS;
  const { from, days } = query;
  const costs = { perHour: defaultHourlyCost, perKm: defaultCostPerKm };
  const [account] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  const currency = account?.currency ?? "";
  const roofs = new Set(asked.flatMap((visit) => (visit.skills.includes("roof") ? [visit.siteId] : [])));
  const first = Math.floor(Date.parse(from) / HOUR_MS) - DAY_HOURS;
  const span = { from: first, to: first + (days + 2) * DAY_HOURS };
  const outlook = await siteOutlooks(tx, sites, roofs, span);
  const recorded = await crews(tx);
  const places = roadPlaces({ visits, crews: recorded });
  const leg = await storedWays(tx, new Map(places.map((place) => [place.key, positionOf(place)])));
  const remarks = basesOffLand(
    recorded,
    visits.map((visit) => visit.site),
  );
  const roads = leg ? { roads: { name: "The travel times on record", leg } } : {};
  const input = {
    visits,
    crews: recorded,
    from,
    days,
    outlook,
    roadFactor,
    speedKmh,
    costs,
    currency,
    remarks,
    ...roads,
  };
  return { asOf: queue?.as_of ?? null, input, blind: roofWithoutForecast(input, Date.parse(from)) };
}

/** Sites whose roof work is planned although no forecast covers the days: nobody has looked at the sky for them. */
export function roofWithoutForecast({ visits, outlook, days }: PlanInput, from: number): string[] {
  return visits
    .filter(({ skills, site }) => {
      const hours = outlook.get(site.siteId) ?? [];
      const last = hours.reduce((end, { at, basis }) => (basis === "past_years" ? end : Math.max(end, at)), 0);
      return skills.includes("roof") && last < from + days * 86_400_000;
    })
    .map(({ site }) => site.siteId);
}

const tenth = (value: number) => Math.round(value * 10) / 10;

function sheetDocument(sheet: PlanSheet): Pick<PlanDocument, "routes" | "unserved"> {
  return {
    routes: sheet.days.map((day) => {
      const { crew } = day.shift;
      const time = (at: number) => isoInZone(at, crew.timeZone);
      return {
        crew_id: crew.crewId,
        date: day.shift.day,
        leave: time(day.leave),
        return: time(day.return),
        return_km: tenth(day.returnKm),
        stops: day.stops.map((stop) => ({
          visit_id: stop.visitId,
          site_id: stop.siteId,
          arrive: time(stop.arrive),
          start: time(stop.start),
          depart: time(stop.depart),
          drive_km: tenth(stop.driveKm),
          drive_minutes: tenth(stop.driveMinutes),
          pinned: stop.pinned,
        })),
      };
    }),
    unserved: sheet.unserved.map(({ visitId, siteId, code, why }) => ({
      visit_id: visitId,
      site_id: siteId,
      code,
      why,
    })),
  };
}
