import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { gapOf } from "../dispatch/routes/prove-routes.ts";
import { type PlanTaken, planTaken } from "../jobs/plan-taken.ts";
import type { Actor } from "../store/actor.ts";
import { database } from "../store/database.ts";
import { draftRuns, openPlanRuns, type PlanRun, planRun } from "../store/plan-run.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import type { DraftRunView } from "./draft-run-view.ts";

/** A run that failed is shown to who asked for it for so long, unless they asked anew. */
const FAILED_SHOWN_MS = 15 * 60_000;

/** @throws AppError `not_found` */
export async function readDraftRun(actor: Actor, runId: string, now = Date.now()): Promise<DraftRunView> {
  authorise(actor, "plan.read");
  const taken = await planTaken(await database(), actor.accountId, now);
  return readTransaction(actor, async (tx) => {
    const run = await planRun(tx, runId);
    if (!run?.work) throw new AppError("not_found", { message: `There is no plan run ${runId}; it may be too old.` });
    return viewOf(run, actor, taken, await openPlanRuns(tx), await currencyOf(tx));
  });
}

/**
 * The plans that are being made, to be found again after a reload.
 * @param ofPlan those made from this plan; null: new ones
 */
export async function readDraftRuns(actor: Actor, ofPlan: string | null, now = Date.now()): Promise<DraftRunView[]> {
  authorise(actor, "plan.read");
  const taken = await planTaken(await database(), actor.accountId, now);
  return readTransaction(actor, async (tx) => {
    const runs = await draftRuns(tx, actor.person, new Date(now - FAILED_SHOWN_MS));
    const open = await openPlanRuns(tx);
    const currency = await currencyOf(tx);
    return runs.map((run) => viewOf(run, actor, taken, open, currency)).filter((view) => view.ofPlan === ofPlan);
  });
}

async function currencyOf(tx: Sql): Promise<string> {
  const [row] = await tx<{ currency: string }[]>`SELECT currency FROM account WHERE account_id = current_account()`;
  return row?.currency ?? "USD";
}

function viewOf(run: PlanRun, actor: Actor, taken: PlanTaken, open: string[], currency: string): DraftRunView {
  const { work, progress, objective, bound } = run;
  return {
    ...{ runId: run.runId, kind: work?.kind ?? "draft", from: run.query.from, days: run.query.days, currency },
    ofPlan: work && work.kind !== "draft" ? work.planId : null,
    ...{ requestedBy: run.requestedBy, requestedAt: new Date(run.requestedAt).toISOString() },
    ...{ mine: run.requestedBy === actor.person, status: run.status, stopAskedBy: run.stopAskedBy, says: run.says },
    best: progress?.best ?? null,
    gap: objective === null ? null : gapOf(objective, bound === null ? null : Math.max(bound, objective)),
    ...{ step: progress?.step ?? null, planId: run.planId, ahead: Math.max(0, open.indexOf(run.runId)) },
    ...{ working: taken.working, silent: taken.silent },
    workerSeenAt: taken.workerSeenAt === null ? null : new Date(taken.workerSeenAt).toISOString(),
  };
}
