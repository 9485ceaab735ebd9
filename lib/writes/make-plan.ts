import "server-only";
import { randomBytes } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { seededRng } from "../core/random.ts";
import { heldPlan } from "../dispatch/plans/held-plan.ts";
import { planHeld } from "../dispatch/plans/plan-held.ts";
import { NO_HOLDS } from "../dispatch/plans/plan-holds.ts";
import { holdsOf, type PlanBasis, routesOf, type StoredPlan, storedParts } from "../dispatch/plans/stored-plan.ts";
import { HighsSolver } from "../jobs/highs-solver.ts";
import { loadPlan, openVisits, outAlready, wantedOf } from "../reads/load-plan.ts";
import { hazardNotes, PlanQuery, PRICING, planInput, type WantedVisit } from "../reads/plan.ts";
import type { Actor } from "../store/actor.ts";
import { addPlanChange, insertPlan, replacePlan } from "../store/plans.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";

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
/** A plan of the queue as it stands, kept as a draft. What went out already moves as little as it can. */
export async function makePlan(
  actor: Actor,
  body: z.infer<typeof MakePlanBody>,
  signal?: AbortSignal,
): Promise<{ planId: string }> {
  const query = { ...body, seed: 1, effort: body.effort ?? 400 };
  const { input, wanted, elsewhere, previous } = await readTransaction(actor, async (tx) => {
    const open = await openVisits(tx, query, new Date().toISOString().slice(0, 10));
    return { ...open, ...(await planInput(tx, query, open.wanted)), previous: await outAlready(tx, query) };
  });
  const held = heldPlan(input, NO_HOLDS);
  const solved = await solve(held, previous ? routesOf(previous, held) : null, null, query, signal);
  if (signal?.aborted) throw new AppError("cancelled", { message: "Stopped; no plan was kept." });
  const plan: StoredPlan = {
    ...{
      planId: newPlanId(),
      from: query.from,
      days: query.days,
      seed: query.seed,
      effort: query.effort,
      state: "draft",
    },
    ...{ objective: solved.objective, bound: solved.bound, notes: solved.notes, basedOn: null, replanFrom: null },
    ...{ revision: 1, madeBy: actor.person, madeAt: 0, confirmedBy: null, confirmedAt: null },
    ...storedParts(held, solved.routes, basesOf(wanted), { crewDays: [], visits: elsewhere }),
  };
  await storeNew(actor, plan, `Planned ${query.days} days from ${query.from}.`);
  return { planId: plan.planId };
}

/** Keep a new plan, with its first line of history. */
export async function storeNew(actor: Actor, plan: StoredPlan, says: string, detail: object = {}): Promise<void> {
  await writeTransaction(actor, async (tx) => {
    await insertPlan(tx, plan);
    await addPlanChange(tx, plan.planId, actor.person, { kind: "make", says, reason: null, detail: { ...detail } });
    const note = {
      action: "plan.make",
      subject: plan.planId,
      detail: { from: plan.from, days: plan.days, objective: plan.objective },
    };
    return { result: null, note };
  });
}

/** Plan a draft anew around its pins, locks and added days. @throws AppError `conflict` when it was changed meanwhile */
export async function planAnew(
  actor: Actor,
  planId: string,
  { revision }: { revision: number },
  signal?: AbortSignal,
): Promise<{ planId: string }> {
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
  const solved = await solve(
    held,
    read.previous ? routesOf(read.previous, held) : null,
    routesOf(read.plan, held),
    read.plan,
    signal,
  );
  const plan: StoredPlan = {
    ...{ ...read.plan, objective: solved.objective, bound: solved.bound, notes: solved.notes },
    ...storedParts(held, solved.routes, basesOf(read.wanted), { crewDays: read.plan.crewDays, visits: read.elsewhere }),
  };
  await writeTransaction(actor, async (tx) => {
    if (!(await replacePlan(tx, plan))) throw changedMeanwhile();
    const change = { kind: "plan_anew", says: "Planned anew around what is pinned and locked.", reason: null };
    await addPlanChange(tx, planId, actor.person, { ...change, detail: { objective: plan.objective } });
    return { result: null, note: { action: "plan.anew", subject: planId, detail: { objective: plan.objective } } };
  });
  return { planId };
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

/** Carry out a plan's search, with what there is to say of it. */
export async function solve(
  held: ReturnType<typeof heldPlan>,
  previous: number[][] | null,
  seen: number[][] | null,
  { seed, effort }: { seed: number; effort: number },
  signal?: AbortSignal,
) {
  const solver = new HighsSolver();
  try {
    const stopped = signal ? { stopped: () => signal.aborted } : {};
    const options = { rng: seededRng(String(seed)), effort, solver, ...PRICING, ...stopped };
    const found = await planHeld(held, previous, options, seen);
    return { ...found, notes: [...held.planned.notes, ...hazardNotes(found.hazards), ...pinNotes(found)] };
  } finally {
    await solver.close();
  }
}
