import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { gapOf } from "../dispatch/routes/prove-routes.ts";
import type { Actor } from "../store/actor.ts";
import { planRun } from "../store/plan-run.ts";
import { readTransaction } from "../store/transaction.ts";
import { PlanDocument } from "./documents.ts";

/** A plan asked of the worker: how far it is, and the best plan so far. */
export const PlanRunDocument = z.object({
  run_id: z.string(),
  requested_at: z.iso.datetime(),
  finished_at: z.iso.datetime().nullable(),
  status: z.enum(["waiting", "running", "done", "cancelled", "failed"]),
  from: z.string(),
  days: z.number(),
  seed: z.number(),
  effort: z.number(),
  objective: z.number().nullable(),
  bound: z.number().nullable(),
  gap: z.number().nullable(),
  /** Best so far; the plan once it is done. */
  plan: PlanDocument.nullable(),
  /** Sites whose roof work no forecast covers. */
  without_forecast: z.array(z.string()),
  says: z.string().nullable(),
});
export type PlanRunDocument = z.infer<typeof PlanRunDocument>;

/** @throws AppError `not_found` */
export async function readPlanRun(actor: Actor, runId: string): Promise<PlanRunDocument> {
  authorise(actor, "plan.read");
  const run = await readTransaction(actor, (tx) => planRun(tx, runId));
  if (!run) throw new AppError("not_found", { message: `There is no plan run ${runId}; it may be too old.` });
  const { from, days, seed, effort } = run.query;
  const time = (at: number | null) => (at === null ? null : new Date(at).toISOString());
  return {
    run_id: run.runId,
    requested_at: new Date(run.requestedAt).toISOString(),
    finished_at: time(run.finishedAt),
    status: run.status,
    ...{ from, days, seed, effort },
    objective: run.objective,
    bound: run.bound,
    gap: run.objective === null ? null : gapOf(run.objective, run.bound),
    plan: run.plan === null ? null : PlanDocument.parse(run.plan),
    without_forecast: run.blind,
    says: run.says,
  };
}
