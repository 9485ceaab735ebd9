import type { z } from "zod";
import { AppError } from "../../lib/core/app-error.ts";
import { runPlans } from "../../lib/jobs/plan-run.ts";
import { type Actor, systemActor } from "../../lib/store/actor.ts";
import { database } from "../../lib/store/database.ts";
import { planRun } from "../../lib/store/plan-run.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { askPlan, askPlanAnew, askRest } from "../../lib/writes/ask-plan.ts";
import type { MakePlanBody, PlanAnewBody } from "../../lib/writes/make-plan.ts";
import type { ReplanRestBody } from "../../lib/writes/replan-rest.ts";

/** What the worker does with a run that was asked for. */
async function carriedOut(actor: Actor, asked: Promise<{ runId: string }>): Promise<{ planId: string; says: string }> {
  const { runId } = await asked;
  await runPlans(await database(), systemActor(actor.accountId), new AbortController().signal);
  const run = await readTransaction(actor, (tx) => planRun(tx, runId));
  if (!run?.planId) throw new AppError("conflict", { message: run?.says ?? "The run became no plan." });
  return { planId: run.planId, says: run.says ?? "" };
}

export const makePlan = (actor: Actor, body: z.infer<typeof MakePlanBody>) => carriedOut(actor, askPlan(actor, body));
export const planAnew = (actor: Actor, planId: string, body: z.infer<typeof PlanAnewBody>) =>
  carriedOut(actor, askPlanAnew(actor, planId, body));
export const replanRest = (actor: Actor, planId: string, body: z.infer<typeof ReplanRestBody>, now?: number) =>
  carriedOut(actor, askRest(actor, planId, body, now));
