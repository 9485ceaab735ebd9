import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { wakePlans } from "../jobs/wake-worker.ts";
import { loadPlan } from "../reads/load-plan.ts";
import type { Actor } from "../store/actor.ts";
import {
  addPlanRun,
  askPlanRunToStop,
  type PlanRunQuery,
  type PlanWork,
  planRun,
  stopPlanRun,
} from "../store/plan-run.ts";
import { storedPlan } from "../store/plans.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";
import { type MakePlanBody, type PlanAnewBody, requireOpen } from "./make-plan.ts";
import { requireRoom } from "./plan-run.ts";
import { type ReplanRestBody, requireGoing } from "./replan-rest.ts";

const SEED = 1;
/** Rounds of search for a plan on screen; somebody waits for it, and may stop it any time. */
const PAGE_EFFORT = 400;

/** Ask the worker for a plan of the queue as it stands; it becomes a draft. @throws AppError `busy` */
export async function askPlan(actor: Actor, body: z.infer<typeof MakePlanBody>): Promise<{ runId: string }> {
  authorise(actor, "plan.write");
  const { from, days, effort = PAGE_EFFORT } = body;
  return ask(actor, { from, days, seed: SEED, effort }, { kind: "draft" });
}

/** Ask for a draft to be planned anew. @throws AppError `busy`, `not_found`, `conflict` when it is not what the asker saw */
export async function askPlanAnew(
  actor: Actor,
  planId: string,
  { revision }: z.infer<typeof PlanAnewBody>,
): Promise<{ runId: string }> {
  authorise(actor, "plan.write");
  const plan = await readTransaction(actor, (tx) => storedPlan(tx, planId));
  if (!plan) throw new AppError("not_found", { message: `There is no plan "${planId}".` });
  requireOpen(plan, revision, ["draft"]);
  const { from, days, seed, effort } = plan;
  return ask(actor, { from, days, seed, effort }, { kind: "anew", planId, revision });
}

/** Ask for the rest of the day from `now`. @throws AppError `busy`, `not_found`, `conflict` when no day of the plan goes on */
export async function askRest(
  actor: Actor,
  planId: string,
  { reason, crews }: z.infer<typeof ReplanRestBody>,
  now = Date.now(),
): Promise<{ runId: string }> {
  authorise(actor, "plan.write");
  const loaded = await readTransaction(actor, (tx) => loadPlan(tx, planId));
  requireGoing(loaded, now);
  const { from, days, seed, effort } = loaded.plan;
  return ask(actor, { from, days, seed, effort }, { kind: "rest", planId, at: now, reason, crews });
}

async function ask(actor: Actor, query: PlanRunQuery, work: PlanWork): Promise<{ runId: string }> {
  const runId = await writeTransaction(actor, async (tx) => {
    await requireRoom(tx, "draft");
    const id = await addPlanRun(tx, actor.person, query, work);
    return { result: id, note: { action: "plan.ask", subject: id, detail: { ...query, kind: work.kind } } };
  });
  // The worker's own round finds the run too; this only makes it sooner.
  await wakePlans(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { runId };
}

export const StopPlanBody = z.object({ giveUp: z.boolean().default(false) });

interface Stopped {
  stopped: "kept" | "taken_back" | "over";
}

/**
 * End a run with the best plan so far; one that nobody has begun is taken back.
 * @param body `giveUp`: keep nothing and wait for nobody
 * @returns `kept`: the worker ends it with the best so far; `taken_back`: there is nothing to keep; `over`: it had ended
 * @throws AppError `not_found`
 */
export async function stopAskedPlan(
  actor: Actor,
  runId: string,
  { giveUp }: z.infer<typeof StopPlanBody>,
): Promise<Stopped> {
  authorise(actor, "plan.write");
  return writeTransaction<Stopped>(actor, async (tx) => {
    const run = await planRun(tx, runId);
    if (!run?.work) throw new AppError("not_found", { message: `There is no plan run ${runId}; it may be too old.` });
    const note = { action: "plan.stop", subject: runId };
    if (!giveUp && (await askPlanRunToStop(tx, runId, actor.person))) return { result: { stopped: "kept" }, note };
    if (await stopPlanRun(tx, runId, `Taken back by ${actor.person}; no plan was kept.`))
      return { result: { stopped: "taken_back" }, note };
    return { result: { stopped: "over" }, note: null };
  });
}
