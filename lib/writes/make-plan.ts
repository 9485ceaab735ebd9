import "server-only";
import { randomBytes } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { seededRng } from "../core/random.ts";
import { type HeldPlan, heldPlan } from "../dispatch/plans/held-plan.ts";
import { keptValue, type PlannedHeld, planHeld, withFixed } from "../dispatch/plans/plan-held.ts";
import { NO_HOLDS } from "../dispatch/plans/plan-holds.ts";
import { holdsOf, type PlanBasis, routesOf, type StoredPlan, storedParts } from "../dispatch/plans/stored-plan.ts";
import { planEffort } from "../dispatch/routes/plan-effort.ts";
import type { PlanStep } from "../dispatch/routes/plan-options.ts";
import type { RoutePlanner } from "../dispatch/routes/plan-routes.ts";
import { type PlanAsk, planInThread } from "../jobs/plan-thread.ts";
import { staleCount } from "../jobs/refresh-scores.ts";
import { loadPlan, openVisits, outAlready, wantedOf } from "../reads/load-plan.ts";
import { hazardNotes, PlanQuery, planInput, type WantedVisit } from "../reads/plan.ts";
import type { Actor } from "../store/actor.ts";
import type { PlanRunQuery } from "../store/plan-run.ts";
import { addPlanChange, insertPlan, replacePlan } from "../store/plans.ts";
import { type AuditNote, readTransaction, type Sql } from "../store/transaction.ts";

export const MakePlanBody = z.object({
  from: PlanQuery.shape.from,
  days: PlanQuery.shape.days,
  effort: PlanQuery.shape.effort.optional(),
});

export const PlanAnewBody = z.object({ revision: z.number().int() });

export const basesOf = (wanted: readonly WantedVisit[]): Map<string, PlanBasis> =>
  new Map(
    wanted.map(({ visitId, siteId: _, ...basis }) => [visitId, { ...basis, skills: [...basis.skills] } as PlanBasis]),
  );

export const newPlanId = () => `plan-${randomBytes(6).toString("hex")}`;
/** A plan that is ready to be searched for, and what becomes of what is found. */
export interface ReadyPlan {
  held: HeldPlan;
  previous: number[][] | null;
  seen: number[][] | null;
  query: PlanRunQuery;
  /** Store it. @throws AppError `conflict` when what it rests on was changed meanwhile */
  keep: (tx: Sql, solved: Solved) => Promise<{ planId: string; moved: string[]; note: AuditNote }>;
}
export type Solved = PlannedHeld & { notes: string[] };

/** The queue as it stands, to be planned as a draft. What went out already moves as little as it can. */
export async function readyDraft(actor: Actor, query: PlanRunQuery): Promise<ReadyPlan> {
  authorise(actor, "plan.write");
  const { input, wanted, elsewhere, previous, stale } = await readTransaction(actor, async (tx) => {
    const open = await openVisits(tx, query, new Date().toISOString().slice(0, 10));
    const stale = await staleCount(tx, Date.now());
    return { ...open, ...(await planInput(tx, query, open.wanted)), previous: await outAlready(tx, query), stale };
  });
  const held = heldPlan(input, NO_HOLDS);
  const keep: ReadyPlan["keep"] = async (tx, solved) => {
    const plan: StoredPlan = {
      ...{ planId: newPlanId(), ...query, state: "draft", basedOn: null, replanFrom: null },
      ...{ objective: solved.objective, bound: solved.bound, notes: [...staleNote(stale), ...solved.notes] },
      ...{ revision: 1, madeBy: actor.person, madeAt: 0, confirmedBy: null, confirmedAt: null },
      ...storedParts(held, solved.routes, basesOf(wanted), { crewDays: [], visits: elsewhere }),
    };
    const says = `Planned ${query.days} days from ${query.from}.`;
    return { planId: plan.planId, moved: [], note: await keepNew(tx, actor, plan, says) };
  };
  return { held, previous: previous ? routesOf(previous, held) : null, seen: null, query, keep };
}

const staleNote = (sites: number) =>
  sites > 0
    ? [`${sites.toLocaleString("en-US")} sites wait for a new score: this is planned on the queue as it was before.`]
    : [];

/** Keep a new plan, with its first line of history. @returns what the audit log says */
export async function keepNew(tx: Sql, actor: Actor, plan: StoredPlan, says: string, detail: object = {}) {
  await insertPlan(tx, plan);
  await addPlanChange(tx, plan.planId, actor.person, { kind: "make", says, reason: null, detail: { ...detail } });
  return {
    action: "plan.make",
    subject: plan.planId,
    detail: { from: plan.from, days: plan.days, objective: plan.objective },
  };
}

/** A draft to be planned anew around its pins, locks and added days. @throws AppError `conflict` when it was changed meanwhile */
export async function readyAnew(
  actor: Actor,
  { planId, revision }: { planId: string; revision: number },
): Promise<ReadyPlan> {
  authorise(actor, "plan.write");
  const read = await readTransaction(actor, async (tx) => {
    const loaded = await loadPlan(tx, planId);
    requireOpen(loaded.plan, revision, ["draft"]);
    const { wanted: queued, elsewhere } = await openVisits(tx, loaded.plan, new Date().toISOString().slice(0, 10));
    const fixed = wantedOf(loaded.plan).filter(
      (v) => !queued.some((q) => q.visitId === v.visitId) && isHeld(loaded.plan, v.visitId),
    );
    const wanted = [...queued, ...fixed];
    return {
      ...loaded,
      ...{ wanted, elsewhere },
      input: (await planInput(tx, loaded.plan, wanted)).input,
      previous: await outAlready(tx, loaded.plan),
    };
  });
  const held = heldPlan(read.input, holdsOf(read.plan));
  const { from, days, seed, effort } = read.plan;
  const keep: ReadyPlan["keep"] = async (tx, solved) => {
    const before = { crewDays: read.plan.crewDays, visits: read.elsewhere };
    const plan: StoredPlan = {
      ...{ ...read.plan, objective: solved.objective, bound: solved.bound, notes: solved.notes },
      ...storedParts(held, solved.routes, basesOf(read.wanted), before),
    };
    if (!(await replacePlan(tx, plan))) throw changedMeanwhile();
    const change = { kind: "plan_anew", says: "Planned anew around what is pinned and locked.", reason: null };
    await addPlanChange(tx, planId, actor.person, { ...change, detail: { objective: plan.objective } });
    const note = { action: "plan.anew", subject: planId, detail: { objective: plan.objective } };
    return { planId, moved: [], note };
  };
  const previous = read.previous ? routesOf(read.previous, held) : null;
  return { held, previous, seen: routesOf(read.plan, held), query: { from, days, seed, effort }, keep };
}

export const changedMeanwhile = () =>
  new AppError("conflict", {
    message: "Somebody changed this plan meanwhile. Load it again and look at what they did.",
  });

/** @throws AppError `conflict` when the plan is not what a person saw, or not open to changes */
export function requireOpen(plan: StoredPlan, revision: number, states: readonly StoredPlan["state"][]): void {
  if (plan.revision !== revision) throw changedMeanwhile();
  if (states.includes(plan.state)) return;
  const says =
    plan.state === "confirmed"
      ? "is confirmed: make a new one, or plan the rest of the day anew"
      : "was replaced by a later one";
  throw new AppError("conflict", { message: `This plan ${says}.` });
}

const isHeld = (plan: StoredPlan, visitId: string) =>
  holdsOf(plan).pins.some((pin) => pin.visitId === visitId) ||
  holdsOf(plan).locked.some((lock) => lock.visitIds.includes(visitId)) ||
  plan.visits.some((v) => v.visitId === visitId && v.frozen);

function pinNotes({ pinsBroken, heldBack }: { pinsBroken: string[]; heldBack: string[] }): string[] {
  const gone = pinsBroken.length > 0 ? [`Pinned, but not where it was pinned: ${pinsBroken.join(", ")}.`] : [];
  const back = `A pin keeps make-safe work from an earlier day: ${heldBack.join(", ")}. Take it off and plan anew to see.`;
  return heldBack.length > 0 ? [...gone, back] : gone;
}

export interface Watch {
  stopped?: () => boolean;
  /** Told of each better plan, with what is locked or under way. */
  onBest?: (routes: number[][]) => void;
  /** Told of each lower bound on any plan with the same holds, account currency. */
  onBound?: (bound: number) => void;
  onStep?: (step: PlanStep) => void;
}

/** Carry out a plan's search, with what there is to say of it. */
export async function solve({ held, previous, seen, query: { seed, effort } }: ReadyPlan, watch: Watch = {}) {
  let asked = 0;
  const kept = keptValue(held);
  const onWord: PlanAsk["onWord"] = (word) => {
    if (word.kind === "better") watch.onBest?.(withFixed(held, word.routes));
    else if (word.kind === "bound") watch.onBound?.(word.bound + kept);
    else watch.onStep?.(word.step);
  };
  const plan: RoutePlanner = (instance, { start, stopped }) =>
    planInThread({ instance, seed: `${seed}/${asked++}`, effort, start: start ?? null, stopped, onWord });
  const stopped = watch.stopped ? { stopped: watch.stopped } : {};
  const options = { rng: seededRng(String(seed)), solver: null, ...planEffort(effort), ...stopped };
  const found = await planHeld(held, previous, options, seen, plan);
  return { ...found, notes: [...held.planned.notes, ...hazardNotes(found.hazards), ...pinNotes(found)] };
}
