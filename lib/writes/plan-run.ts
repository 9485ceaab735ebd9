import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { wakePlans } from "../jobs/wake-worker.ts";
import type { PlanQuery } from "../reads/plan.ts";
import type { Actor } from "../store/actor.ts";
import { addPlanRun, openRunCount, planRun, stopPlanRun } from "../store/plan-run.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";

/** Runs of an account that may wait for the worker. */
const MOST_OPEN = 5;

/** @throws AppError `busy` when several runs of the kind wait already; neither programs nor pages keep the other out */
export async function requireRoom(tx: Sql, kind: "document" | "draft"): Promise<void> {
  if ((await openRunCount(tx, kind)) >= MOST_OPEN)
    throw new AppError("busy", { message: "Several plans are being made. Wait for them, or stop one." });
}

/** Ask the worker for a plan. @throws AppError `busy` when several wait already */
export async function startPlanRun(actor: Actor, query: PlanQuery): Promise<{ run_id: string }> {
  authorise(actor, "plan.read"); // a run sends nobody anywhere: who may read a plan may have one made
  const runId = await writeTransaction(actor, async (tx) => {
    await requireRoom(tx, "document");
    const id = await addPlanRun(tx, actor.person, query);
    return { result: id, note: { action: "plan.ask", subject: id, detail: { ...query } } };
  });
  // The worker's own round finds the run too; this only makes it sooner.
  await wakePlans(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { run_id: runId };
}

/** Stop a plan run; the best plan so far stays with it. @throws AppError `not_found` */
export async function cancelPlanRun(actor: Actor, runId: string): Promise<{ stopped: boolean }> {
  authorise(actor, "plan.read");
  return writeTransaction(actor, async (tx) => {
    if (!(await planRun(tx, runId)))
      throw new AppError("not_found", { message: `There is no plan run ${runId}; it may be too old.` });
    const stopped = await stopPlanRun(tx, runId, `Stopped by ${actor.person}; the best plan so far is kept.`);
    return { result: { stopped }, note: stopped ? { action: "plan.stop", subject: runId } : null };
  });
}
