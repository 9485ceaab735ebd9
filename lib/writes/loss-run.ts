import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { lossInputHash } from "../jobs/loss-inputs.ts";
import { wakeLoss } from "../jobs/wake-worker.ts";
import type { WhatIfAsked } from "../reads/exposure-stored.ts";
import type { Actor } from "../store/actor.ts";
import { addLossRun, endLossRun, isOpenLossRun, newestLossRun } from "../store/loss-runs.ts";
import { writeTransaction } from "../store/transaction.ts";

const wake = (actor: Actor) =>
  // The worker's own round finds the run too; this only makes it sooner.
  wakeLoss(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));

/**
 * Draw the losses of the books now; a run that is open already is the answer.
 * @throws AppError `conflict` while nothing is scored
 */
export async function startLossRun(actor: Actor): Promise<{ runId: string }> {
  authorise(actor, "exposure.run");
  const runId = await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('loss-run/' || current_account(), 0))`;
    const newest = await newestLossRun(tx, "books");
    if (newest && isOpenLossRun(newest)) return { result: newest.runId, note: null };
    const inputHash = await lossInputHash(tx);
    if (inputHash === null)
      throw new AppError("conflict", {
        message: "No site has a score yet. Import sites, or wait until they are scored.",
      });
    const id = await addLossRun(tx, { kind: "books", asked: {}, inputHash, requestedBy: actor.person });
    return { result: id, note: { action: "loss.ask", subject: id } };
  });
  await wake(actor);
  return { runId };
}

/**
 * Ask what an act would change; the answer is drawn over the same years as the books.
 * @throws AppError `conflict` while nothing is scored
 */
export async function startWhatIf(actor: Actor, asked: WhatIfAsked): Promise<{ runId: string }> {
  authorise(actor, "exposure.run");
  const runId = await writeTransaction(actor, async (tx) => {
    const inputHash = await lossInputHash(tx);
    if (inputHash === null)
      throw new AppError("conflict", {
        message: "No site has a score yet. Import sites, or wait until they are scored.",
      });
    const id = await addLossRun(tx, { kind: "what_if", asked, inputHash, requestedBy: actor.person });
    return { result: id, note: { action: "loss.what_if", subject: id, detail: { asked } } };
  });
  await wake(actor);
  return { runId };
}

/** Stop a run that is open; the last finished one stays in force. */
export async function stopLossRun(actor: Actor, runId: string): Promise<{ stopped: boolean }> {
  authorise(actor, "exposure.run");
  return writeTransaction(actor, async (tx) => {
    const stopped = await endLossRun(tx, runId, "cancelled", `Stopped by ${actor.person}.`);
    return { result: { stopped }, note: stopped ? { action: "loss.stop", subject: runId } : null };
  });
}
