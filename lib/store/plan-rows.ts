import { z } from "zod";
import { PlanBasis, type PlanState, type StoredPlanDay, type StoredPlanVisit } from "../dispatch/plans/stored-plan.ts";

export const instant = z.date().transform((date) => date.getTime());
const instantOrNull = instant.nullable();

export const PlanRow = z
  .object({
    plan_id: z.string(),
    from_day: z.string(),
    days: z.number(),
    seed: z.number(),
    effort: z.number(),
    state: z.enum(["draft", "confirmed", "superseded"]),
    objective: z.number(),
    bound: z.number().nullable(),
    notes: z.array(z.string()),
    based_on: z.string().nullable(),
    replan_from: instantOrNull,
    revision: z.number(),
    made_by: z.string(),
    made_at: instant,
    confirmed_by: z.string().nullable(),
    confirmed_at: instantOrNull,
  })
  .transform((r) => ({
    ...{
      planId: r.plan_id,
      from: r.from_day,
      days: r.days,
      seed: r.seed,
      effort: r.effort,
      state: r.state as PlanState,
    },
    ...{ objective: r.objective, bound: r.bound, notes: r.notes, basedOn: r.based_on, replanFrom: r.replan_from },
    ...{ revision: r.revision, madeBy: r.made_by, madeAt: r.made_at },
    ...{ confirmedBy: r.confirmed_by, confirmedAt: r.confirmed_at },
  }));
export type PlanHead = z.infer<typeof PlanRow>;

export const DayRow = z
  .object({
    crew_id: z.string(),
    day: z.string(),
    shift_from: instant,
    shift_to: instant,
    leave_at: instantOrNull,
    return_at: instantOrNull,
    return_km: z.number().nullable(),
    free_at: instantOrNull,
    locked_by: z.string().nullable(),
    added_by: z.string().nullable(),
    closed_by: z.string().nullable(),
  })
  .transform(
    (r): StoredPlanDay => ({
      ...{ crewId: r.crew_id, day: r.day, shiftFrom: r.shift_from, shiftTo: r.shift_to, leave: r.leave_at },
      ...{
        return: r.return_at,
        returnKm: r.return_km,
        freeAt: r.free_at,
        lockedBy: r.locked_by,
        addedBy: r.added_by,
        closedBy: r.closed_by,
      },
    }),
  );

export const VisitRow = z
  .object({
    visit_id: z.string(),
    site_id: z.string(),
    basis: PlanBasis,
    crew_id: z.string().nullable(),
    day: z.string().nullable(),
    position: z.number().nullable(),
    arrive_at: instantOrNull,
    start_at: instantOrNull,
    depart_at: instantOrNull,
    drive_km: z.number().nullable(),
    drive_minutes: z.number().nullable(),
    promised: z.boolean(),
    pinned_by: z.string().nullable(),
    frozen: z.boolean(),
    code: z.string().nullable(),
    why: z.string().nullable(),
  })
  .transform((r): StoredPlanVisit => {
    const on = { crewId: r.crew_id, day: r.day, position: r.position };
    const times = { arrive: r.arrive_at, start: r.start_at, depart: r.depart_at };
    const { crewId, day, position } = on;
    const { arrive, start, depart } = times;
    const isStop =
      crewId !== null && day !== null && position !== null && arrive !== null && start !== null && depart !== null;
    return {
      ...{ visitId: r.visit_id, siteId: r.site_id, basis: r.basis, pinnedBy: r.pinned_by, code: r.code, why: r.why },
      ...{ promised: r.promised, frozen: r.frozen },
      stop: isStop
        ? { crewId, day, position, arrive, start, depart, driveKm: r.drive_km ?? 0, driveMinutes: r.drive_minutes ?? 0 }
        : null,
    };
  });
