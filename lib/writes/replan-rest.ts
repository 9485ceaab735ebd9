import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Instant } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { begunDays, daysGoingOn } from "../dispatch/plans/begun-days.ts";
import { heldPlan } from "../dispatch/plans/held-plan.ts";
import { crewDayKey, type PlanHolds } from "../dispatch/plans/plan-holds.ts";
import { holdsOf, routesOf, type StoredPlan, type StoredPlanDay, storedParts } from "../dispatch/plans/stored-plan.ts";
import { dayAfter, type LoadedPlan, loadPlan, openVisits, outAlready, wantedOf } from "../reads/load-plan.ts";
import { planInput } from "../reads/plan.ts";
import type { Actor } from "../store/actor.ts";
import type { PlanWork } from "../store/plan-run.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { visitActivity } from "../store/visit-activity.ts";
import { whatMoved } from "./confirm-plan.ts";
import { basesOf, keepNew, newPlanId, type ReadyPlan } from "./make-plan.ts";

export const ReplanRestBody = z.object({
  reason: z.string().trim().min(1, "say what happened").max(1000),
  crews: z
    .array(
      z.object({ crewId: z.string().min(1), off: z.boolean(), freeAt: z.iso.datetime({ offset: true }).nullable() }),
    )
    .max(500),
});

export type RestWork = Extract<PlanWork, { kind: "rest" }>;

/**
 * The rest of the day to be planned anew: what is done or under way stays, promised visits move only where they must.
 * The result is a draft with what moved, for a person to look at and confirm.
 * @throws AppError `conflict` when the plan does not hold or none of its days goes on
 */
export async function readyRest(actor: Actor, { planId, reason, crews, at: now }: RestWork): Promise<ReadyPlan> {
  authorise(actor, "plan.write");
  const read = await readTransaction(actor, (tx) =>
    restOf(tx, planId, { reason, crews }, { now, person: actor.person }),
  );
  const held = heldPlan(read.input, read.holds);
  const before = routesOf(read.previous, held);
  const keep: ReadyPlan["keep"] = async (tx, solved) => {
    const parts = storedParts(held, solved.routes, basesOf(read.wanted), read.marks);
    const moved = whatMoved(read.previous, parts);
    const plan: StoredPlan = {
      ...{ planId: newPlanId(), ...read.span, state: "draft", objective: solved.objective, bound: solved.bound },
      ...{ notes: solved.notes, basedOn: planId, replanFrom: now, revision: 1, madeBy: actor.person, madeAt: 0 },
      ...{ confirmedBy: null, confirmedAt: null, ...parts },
    };
    const changes = moved.length === 0 ? "Nothing moves." : moved.join(" ");
    const says = `Rest of the day from ${new Date(now).toISOString().slice(0, 16)} UTC: ${reason} ${changes}`;
    return { planId: plan.planId, moved, note: await keepNew(tx, actor, plan, says, { moved }) };
  };
  return { held, previous: before, seen: before, query: read.span, keep };
}

/** The days of a plan that go on. @throws AppError `conflict` when it does not hold or none does */
export function requireGoing({ plan, held }: LoadedPlan, now: Instant): StoredPlanDay[] {
  if (plan.state !== "confirmed")
    throw new AppError("conflict", { message: "Only a plan that went out has a rest of the day." });
  const zones = new Map(held.input.crews.map((crew) => [crew.crewId, crew.timeZone]));
  const today = (crewId: string) => {
    const zone = zones.get(crewId);
    return zone ? localDay(now, zone) : null;
  };
  const going = daysGoingOn(plan, today);
  if (going.length === 0)
    throw new AppError("conflict", { message: "None of this plan's crews works now. Make a new plan instead." });
  return going;
}

async function restOf(
  tx: Sql,
  planId: string,
  { crews }: z.infer<typeof ReplanRestBody>,
  { now, person }: { now: Instant; person: string },
) {
  const loaded = await loadPlan(tx, planId);
  const { plan } = loaded;
  const going = requireGoing(loaded, now);
  const from = going.map((d) => d.day).sort()[0] as string;
  const days = Math.round((Date.parse(dayAfter(plan.from, plan.days)) - Date.parse(from)) / 86_400_000);
  const span = { from, days, seed: plan.seed, effort: plan.effort };
  const previous = (await outAlready(tx, span)) ?? plan;
  const activity = await visitActivity(
    tx,
    plan.visits.map((v) => v.visitId),
  );
  const told = crews.map((crew) => ({ ...crew, freeAt: crew.freeAt === null ? null : Date.parse(crew.freeAt) }));
  const { begun, closed } = begunDays(going, plan.visits, told, activity, now);
  const frozen = new Set(begun.flatMap((day) => day.stops.map((stop) => stop.visitId)));
  const holds = holdsOf(plan);
  const later = <T extends { day: string }>(each: readonly T[]) => each.filter((one) => one.day >= from);
  // A lock of today gives way: the rest of the day is what is to be planned.
  const goingKeys = new Set(going.map(crewDayKey));
  const next: PlanHolds = {
    ...{ begun, out: holds.out, added: later(holds.added), closed: [...later(holds.closed), ...closed] },
    pins: later(holds.pins).filter((pin) => !frozen.has(pin.visitId)),
    locked: later(holds.locked).filter((lock) => !goingKeys.has(crewDayKey(lock))),
  };
  const open = await openVisits(tx, span, from);
  const queued = open.wanted.filter((v) => !activity.get(v.visitId)?.done);
  const known = new Set(queued.map((v) => v.visitId));
  const stays = plan.visits.filter(
    (v) =>
      !known.has(v.visitId) &&
      (frozen.has(v.visitId) || (v.stop && v.stop.day >= from && !activity.get(v.visitId)?.done)),
  );
  const wanted = [...queued, ...wantedOf({ visits: stays })];
  const { input } = await planInput(tx, span, wanted);
  const off = new Map(closed.map((each) => [crewDayKey(each), person]));
  const marks = {
    visits: open.elsewhere,
    crewDays: plan.crewDays
      .filter((d) => d.day >= from)
      .map((d) => ({
        ...d,
        lockedBy: goingKeys.has(crewDayKey(d)) ? null : d.lockedBy,
        closedBy: off.get(crewDayKey(d)) ?? d.closedBy,
      })),
  };
  return { input, wanted, holds: next, previous, span, marks };
}
