import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { consequenceOf, planValue } from "../dispatch/plans/consequence.ts";
import { heldPlan } from "../dispatch/plans/held-plan.ts";
import { routesAfterMove } from "../dispatch/plans/move-options.ts";
import { crewDayKey } from "../dispatch/plans/plan-holds.ts";
import { holdsOf, type StoredPlan, storedParts } from "../dispatch/plans/stored-plan.ts";
import { type LoadedPlan, loadPlan, wantedOf } from "../reads/load-plan.ts";
import type { Actor } from "../store/actor.ts";
import { addPlanChange, lockPlans, replacePlan } from "../store/plans.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { bookVisits } from "./book-visits.ts";
import { basesOf, changedMeanwhile, requireOpen } from "./make-plan.ts";

const CrewDay = { crewId: z.string().min(1), day: z.iso.date("a date YYYY-MM-DD") };
const VisitId = z.string().min(1);
export const ChangePlanBody = z.object({
  revision: z.number().int(),
  reason: z.string().trim().max(1000).optional(),
  change: z.discriminatedUnion("kind", [
    z.object({ kind: z.literal("move"), visitId: VisitId, ...CrewDay, position: z.number().int().min(0).max(200) }),
    z.object({ kind: z.literal("take_out"), visitId: VisitId }),
    z.object({ kind: z.literal("put_back"), visitId: VisitId }),
    z.object({ kind: z.enum(["pin", "unpin"]), visitId: VisitId }),
    z.object({ kind: z.enum(["lock", "unlock", "add_day", "drop_day"]), ...CrewDay }),
  ]),
});
export type PlanEdit = z.infer<typeof ChangePlanBody>["change"];

/**
 * Change a plan by hand. What breaks a rule is refused with the rule; what delays or drops a make-safe visit, moves a
 * promised one or changes a plan that went out takes a reason.
 * @throws AppError `conflict`, `not_found`, `wrong_use`
 */
export async function changePlan(
  actor: Actor,
  planId: string,
  { revision, reason = "", change }: z.infer<typeof ChangePlanBody>,
): Promise<{ revision: number }> {
  return writeTransaction(actor, async (tx) => {
    await lockPlans(tx);
    const loaded = await loadPlan(tx, planId);
    requireOpen(loaded.plan, revision, ["draft", "confirmed"]);
    const done = applied(loaded, change, actor.person);
    if (reason === "" && (done.needsReason || loaded.plan.state === "confirmed"))
      throw new AppError("wrong_use", { message: `Say why: ${done.needsReason ?? "this plan went out already"}.` });
    if (!(await replacePlan(tx, done.plan))) throw changedMeanwhile();
    if (loaded.plan.state === "confirmed") await bookVisits(tx, done.plan, loaded.plan);
    await tell(tx, actor, planId, { change, says: done.says, reason: reason || null });
    const detail = { ...change, reason: reason || null };
    return { result: { revision: revision + 1 }, note: { action: `plan.${change.kind}`, subject: planId, detail } };
  });
}

async function tell(
  tx: Sql,
  actor: Actor,
  planId: string,
  c: { change: PlanEdit; says: string; reason: string | null },
) {
  await addPlanChange(tx, planId, actor.person, {
    kind: c.change.kind,
    says: c.says,
    reason: c.reason,
    detail: c.change,
  });
}

interface Applied {
  plan: StoredPlan;
  says: string;
  needsReason: string | null;
}

function applied(loaded: LoadedPlan, change: PlanEdit, person: string): Applied {
  switch (change.kind) {
    case "move":
    case "take_out":
      return moved(loaded, change, person);
    case "lock":
    case "unlock":
    case "add_day":
    case "drop_day":
      return dayMarked(loaded, change, person);
    default:
      return visitMarked(loaded, change, person);
  }
}

function moved(
  { plan, held, routes }: LoadedPlan,
  change: Extract<PlanEdit, { kind: "move" | "take_out" }>,
  person: string,
): Applied {
  const visit = held.visitOf.get(change.visitId);
  if (visit === undefined) throw noVisit(change.visitId);
  const day = change.kind === "move" ? held.dayOf.get(crewDayKey(change)) : null;
  if (day === undefined)
    throw new AppError("conflict", { message: "That crew does not work on that day. Add the day first." });
  const after = routesAfterMove(routes, visit, day, change.kind === "move" ? change.position : 0);
  const told = consequenceOf(held, routes, after);
  if (told.broken.length > 0)
    throw new AppError("conflict", { message: `This breaks a rule. ${told.broken.join(" ")}` });
  const asked = held.input.visits[visit];
  const later = told.hazardsLater.map((h) => `the make-safe visit ${h.visitId} ${h.says}`);
  const promised = asked?.booked?.status === "promised" ? [`the visit ${change.visitId} was promised`] : [];
  const holds = { ...held.holds, out: held.holds.out.filter((out) => out.visitId !== change.visitId) };
  if (change.kind === "take_out") holds.out = [...holds.out, { visitId: change.visitId, by: person }];
  const bases = new Map(plan.visits.map((v) => [v.visitId, v.basis]));
  const tiered = later.length > 0 || asked?.urgency === "make_safe" || promised.length > 0;
  const parts = storedParts({ ...held, holds }, after, bases, plan);
  const objective = planValue(held, after);
  // A bound says what plans with the same make-safe and promised visits can reach: with others it says nothing.
  const bound = tiered || plan.bound === null || objective > plan.bound + 1e-6 ? null : plan.bound;
  const from = plan.visits.find((v) => v.visitId === change.visitId)?.stop;
  const was = from ? `${from.crewId} on ${from.day}` : "not planned";
  const to =
    change.kind === "move" ? `${change.crewId} on ${change.day}, stop ${change.position + 1}` : "out of the plan";
  const needs = [...later, ...promised];
  return {
    plan: { ...plan, objective, bound, ...parts },
    says: `${change.visitId} from ${was} to ${to}.`,
    needsReason: needs.length > 0 ? needs.join(", ") : null,
  };
}

function visitMarked({ plan }: LoadedPlan, change: Extract<PlanEdit, { visitId: string }>, person: string): Applied {
  const found = plan.visits.find((v) => v.visitId === change.visitId);
  if (!found) throw noVisit(change.visitId);
  if (change.kind === "pin" && !found.stop)
    throw new AppError("conflict", { message: "Only a visit on a route can be pinned." });
  const marked = { ...found, pinnedBy: change.kind === "pin" ? person : null };
  if (change.kind === "put_back")
    Object.assign(marked, { code: "not_enough_hours", why: "Put back; plan anew to find it a place." });
  const visits = plan.visits.map((v) => (v.visitId === change.visitId ? marked : v));
  const said = { pin: "pinned", unpin: "no longer pinned", put_back: "may be planned again" }[change.kind as "pin"];
  // Fewer pins allow better plans than the bound knew of.
  const bound = change.kind === "pin" ? plan.bound : null;
  return {
    plan: { ...plan, visits, bound },
    says: `${change.visitId} is ${said}.`.replace("is may", "may"),
    needsReason: null,
  };
}

function dayMarked(
  { plan, held, routes }: LoadedPlan,
  change: Extract<PlanEdit, { kind: "lock" | "unlock" | "add_day" | "drop_day" }>,
  person: string,
): Applied {
  const key = crewDayKey(change);
  const who = `${change.crewId} on ${change.day}`;
  const mark = (more: Partial<StoredPlan["crewDays"][number]>) =>
    plan.crewDays.map((d) => (crewDayKey(d) === key ? { ...d, ...more } : d));
  if (change.kind === "lock" || change.kind === "unlock") {
    if (!held.dayOf.has(key)) throw new AppError("not_found", { message: `${who} is not in this plan.` });
    const lockedBy = change.kind === "lock" ? person : null;
    const bound = change.kind === "lock" ? plan.bound : null;
    return {
      plan: { ...plan, bound, crewDays: mark({ lockedBy }) },
      says: `${who} is ${change.kind}ed.`,
      needsReason: null,
    };
  }
  const holds = holdsOf(plan);
  const name = { crewId: change.crewId, day: change.day };
  if (change.kind === "add_day") return dayAdded({ plan, held, routes }, name, person);
  const index = held.dayOf.get(key);
  if (index === undefined) throw new AppError("not_found", { message: `${who} is not in this plan.` });
  if ((routes[index] ?? []).length > 0)
    throw new AppError("conflict", { message: `${who} has stops. Move them first, or plan the rest of the day anew.` });
  const added = holds.added.filter((each) => crewDayKey(each) !== key);
  const own = added.length < holds.added.length;
  const crewDays = own ? plan.crewDays.filter((d) => crewDayKey(d) !== key) : mark({ closedBy: person });
  return { plan: { ...plan, crewDays, bound: null }, says: `${who} does not work.`, needsReason: null };
}

function dayAdded({ plan, held, routes }: LoadedPlan, name: { crewId: string; day: string }, person: string): Applied {
  const key = crewDayKey(name);
  const who = `${name.crewId} on ${name.day}`;
  if (held.dayOf.has(key)) throw new AppError("conflict", { message: `${who} works already.` });
  const closed = plan.crewDays.some((d) => crewDayKey(d) === key && d.closedBy !== null);
  const holds = {
    ...held.holds,
    closed: held.holds.closed.filter((each) => crewDayKey(each) !== key),
    added: closed ? held.holds.added : [...held.holds.added, name],
  };
  // The crews' other days keep their numbers only by their names: routes are carried over by those.
  const wider = heldPlan(held.given, holds);
  const index = wider.dayOf.get(key);
  if (index === undefined)
    throw new AppError("wrong_use", {
      message: `${who} cannot be added: no such crew, a shift that is none, or outside the plan's days.`,
    });
  const byKey = new Map(
    held.planned.shifts.map(({ crew, day }, i) => [crewDayKey({ crewId: crew.crewId, day }), routes[i] ?? []]),
  );
  const carried = wider.planned.shifts.map(({ crew, day }) => [
    ...(byKey.get(crewDayKey({ crewId: crew.crewId, day })) ?? []),
  ]);
  const shift = wider.planned.shifts[index] as (typeof wider.planned.shifts)[number];
  const before = plan.crewDays.filter((d) => crewDayKey(d) !== key);
  const blank = { leave: null, return: null, returnKm: null, freeAt: null, lockedBy: null, closedBy: null };
  const row = { ...name, shiftFrom: shift.from, shiftTo: shift.to, ...blank, addedBy: closed ? null : person };
  const parts = storedParts(wider, carried, basesOf(wantedOf(plan)), {
    crewDays: [...before, row],
    visits: plan.visits,
  });
  return { plan: { ...plan, ...parts, bound: null }, says: `${who} works.`, needsReason: null };
}

const noVisit = (visitId: string) =>
  new AppError("not_found", { message: `The visit "${visitId}" is not in this plan.` });
