import { z } from "zod";
import { type Instant, SKILLS } from "../../core/records.ts";
import { planSheet } from "../routes/plan-sheet.ts";
import type { Routes } from "../routes/route-instance.ts";
import type { PlannedStop } from "../routes/walk-route.ts";
import { drivenDay } from "./driven-day.ts";
import type { HeldPlan } from "./held-plan.ts";
import { crewDayKey, type PlanHolds } from "./plan-holds.ts";

/** Code of a visit that a confirmed plan has on another day. */
export const ELSEWHERE = "planned_elsewhere";

export type PlanState = "draft" | "confirmed" | "superseded";

/** What a visit was planned by, kept with the plan so that its figures stay what they were. */
export const PlanBasis = z.object({
  urgency: z.enum(["make_safe", "urgent", "planned"]),
  avoided: z.number().nullable(),
  hoursOnSite: z.number(),
  skills: z.array(z.enum(SKILLS)),
  liveMeasurement: z.boolean(),
  /** Planned as a look in the wet, as it was allowed then; absent: not. */
  inTheWet: z.enum(["allowed", "taken_back"]).optional(),
  /** Defects that the visit was expected to find when the plan was confirmed, and chance by cause; absent before. */
  expected: z.object({ found: z.number(), low: z.number(), high: z.number(), chances: z.array(z.number()) }).optional(),
});
export type PlanBasis = z.infer<typeof PlanBasis>;

export interface StoredStop {
  crewId: string;
  day: string;
  position: number;
  arrive: Instant;
  start: Instant;
  depart: Instant;
  driveKm: number;
  driveMinutes: number;
}

export interface StoredPlanVisit {
  visitId: string;
  siteId: string;
  basis: PlanBasis;
  /** Null: left out, for the reason in `why`. */
  stop: StoredStop | null;
  promised: boolean;
  /** Who holds it where it is; of one that is left out, who took it out. */
  pinnedBy: string | null;
  frozen: boolean;
  code: string | null;
  why: string | null;
}

export interface StoredPlanDay {
  crewId: string;
  day: string;
  shiftFrom: Instant;
  shiftTo: Instant;
  leave: Instant | null;
  return: Instant | null;
  returnKm: number | null;
  /** Of a day that had begun when the rest of it was planned: from when its crew can drive on. */
  freeAt: Instant | null;
  lockedBy: string | null;
  addedBy: string | null;
  closedBy: string | null;
}

export interface StoredPlan {
  planId: string;
  from: string;
  days: number;
  seed: number;
  effort: number;
  state: PlanState;
  objective: number;
  bound: number | null;
  notes: string[];
  basedOn: string | null;
  replanFrom: Instant | null;
  revision: number;
  madeBy: string;
  madeAt: Instant;
  confirmedBy: string | null;
  confirmedAt: Instant | null;
  crewDays: StoredPlanDay[];
  visits: StoredPlanVisit[];
}

const stopOf = (visit: StoredPlanVisit): PlannedStop => {
  const { arrive, start, depart, driveKm, driveMinutes } = visit.stop as StoredStop;
  return {
    visitId: visit.visitId,
    siteId: visit.siteId,
    arrive,
    start,
    depart,
    driveKm,
    driveMinutes,
    pinned: visit.promised,
  };
};

/** What people fixed in a stored plan. */
export function holdsOf(plan: Pick<StoredPlan, "crewDays" | "visits">): PlanHolds {
  const name = ({ crewId, day }: StoredPlanDay) => ({ crewId, day });
  const on = (d: StoredPlanDay) =>
    plan.visits
      .filter((v) => v.stop?.crewId === d.crewId && v.stop.day === d.day)
      .sort((a, b) => (a.stop?.position ?? 0) - (b.stop?.position ?? 0));
  return {
    added: plan.crewDays.filter((d) => d.addedBy !== null).map(name),
    closed: plan.crewDays.filter((d) => d.closedBy !== null).map(name),
    pins: plan.visits.flatMap(({ visitId, stop, pinnedBy }) =>
      stop && pinnedBy !== null ? [{ visitId, crewId: stop.crewId, day: stop.day, by: pinnedBy }] : [],
    ),
    locked: plan.crewDays.flatMap((d) =>
      d.lockedBy === null ? [] : [{ ...name(d), by: d.lockedBy, visitIds: on(d).map((v) => v.visitId) }],
    ),
    begun: plan.crewDays.flatMap((d) => {
      const stops = on(d)
        .filter((v) => v.frozen)
        .map(stopOf);
      return d.freeAt === null ? [] : [{ ...name(d), leave: d.leave, stops, freeAt: d.freeAt }];
    }),
    out: plan.visits.flatMap(({ visitId, stop, pinnedBy }) =>
      stop || pinnedBy === null ? [] : [{ visitId, by: pinnedBy }],
    ),
  };
}

/** The routes of a stored plan as indices of the same plan's visits and days; stops on days that are no longer there drop out. */
export function routesOf(plan: Pick<StoredPlan, "visits">, held: HeldPlan): number[][] {
  const routes: number[][] = held.planned.shifts.map(() => []);
  const dayIndex = new Map(
    held.planned.shifts.map(({ crew, day }, i) => [crewDayKey({ crewId: crew.crewId, day }), i]),
  );
  const placed = plan.visits.filter((v) => v.stop !== null);
  placed.sort((a, b) => (a.stop?.position ?? 0) - (b.stop?.position ?? 0));
  for (const { visitId, stop } of placed) {
    const day = dayIndex.get(crewDayKey(stop as StoredStop));
    const visit = held.visitOf.get(visitId);
    if (day !== undefined && visit !== undefined) (routes[day] as number[]).push(visit);
  }
  return routes;
}

/** Routes as the days and visits that are stored of a plan. Who pinned, locked, added or closed what is carried over. */
export function storedParts(
  held: HeldPlan,
  routes: Routes,
  bases: ReadonlyMap<string, PlanBasis>,
  before: Pick<StoredPlan, "crewDays"> & { visits?: readonly StoredPlanVisit[] },
): Pick<StoredPlan, "crewDays" | "visits"> {
  const marks = new Map(before.crewDays.map((d) => [crewDayKey(d), d]));
  const crewDays: StoredPlanDay[] = [];
  const stops = new Map<string, { stop: StoredStop; promised: boolean; frozen: boolean }>();
  held.planned.shifts.forEach((shift, index) => {
    const name = { crewId: shift.crew.crewId, day: shift.day };
    const mark = marks.get(crewDayKey(name));
    const closed = held.holds.closed.some((each) => crewDayKey(each) === crewDayKey(name));
    if (!held.dayOf.has(crewDayKey(name)) && !closed) return;
    const route = routes[index] ?? [];
    const driven = route.length > 0 ? drivenDay(held, index, route).day : null;
    const frozen = held.begun.get(index)?.stops.length ?? 0;
    driven?.stops.forEach(({ visitId, arrive, start, depart, driveKm, driveMinutes, pinned }, position) => {
      const stop = { ...name, position, arrive, start, depart, driveKm, driveMinutes };
      stops.set(visitId, { stop, promised: pinned, frozen: position < frozen });
    });
    crewDays.push({
      ...{
        ...name,
        shiftFrom: shift.from,
        shiftTo: shift.to,
        leave: driven?.leave ?? null,
        return: driven?.return ?? null,
      },
      ...{ returnKm: driven?.returnKm ?? null, lockedBy: mark?.lockedBy ?? null, addedBy: mark?.addedBy ?? null },
      closedBy: mark?.closedBy ?? null,
      freeAt: held.begun.get(index)?.freeAt ?? null,
    });
  });
  const left = new Map(
    planSheet(
      held.input,
      held.planned,
      routes.map(() => []),
    ).unserved.map((u) => [u.visitId, u]),
  );
  const pins = new Map(held.holds.pins.map((pin) => [pin.visitId, pin]));
  const outs = new Map(held.holds.out.map((out) => [out.visitId, out]));
  const visits = held.input.visits.map(({ visitId, site }): StoredPlanVisit => {
    const on = stops.get(visitId) ?? null;
    const why = on ? null : (left.get(visitId) ?? null);
    const pin = pins.get(visitId);
    const out = on ? undefined : outs.get(visitId);
    if (out) {
      const left = { stop: null, promised: false, frozen: false, pinnedBy: out.by };
      const basis = bases.get(visitId) as PlanBasis;
      return { visitId, siteId: site.siteId, basis, ...left, code: "taken_out", why: `Taken out by ${out.by}.` };
    }
    return {
      ...{ visitId, siteId: site.siteId, basis: bases.get(visitId) as PlanBasis, stop: on?.stop ?? null },
      ...{ promised: on?.promised ?? false, frozen: on?.frozen ?? false },
      pinnedBy: pin && on && crewDayKey(pin) === crewDayKey(on.stop) ? pin.by : null,
      ...{ code: why?.code ?? null, why: why?.why ?? null },
    };
  });
  const elsewhere = (before.visits ?? []).filter((visit) => visit.code === ELSEWHERE);
  return { crewDays, visits: [...visits, ...elsewhere] };
}
