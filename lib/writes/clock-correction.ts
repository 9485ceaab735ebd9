import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { clockCorrections, clocksFound } from "../store/clock.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";

const Source = z.string().min(1).max(300);
const Reason = z.string().trim().min(1, "say why").max(1000);

export const AcceptClockBody = z.object({
  source: Source,
  offsetHours: z.number().int(),
  summerHours: z.number().int(),
  reason: Reason,
});
export const WithdrawClockBody = z.object({ source: Source, reason: Reason });

async function wake(actor: Actor): Promise<void> {
  // The worker's own round finds the stale scores too; this only makes it sooner.
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
}

/** One decision on a clock at a time: what a person saw must still be what is proposed when it is stored. */
async function lockClock(tx: Sql, source: string): Promise<void> {
  await tx`SELECT pg_advisory_xact_lock(hashtextextended('clock/' || current_account() || '/' || ${source}, 0))`;
}

/**
 * Accept the correction that is proposed for the clock of a log source. It comes on top of one in force, because the
 * proposal was made on times already corrected by that.
 * @throws AppError `conflict` when that is not (or no longer) what is proposed
 */
export async function acceptClock(
  actor: Actor,
  { source, offsetHours, summerHours, reason }: z.infer<typeof AcceptClockBody>,
): Promise<{ offsetHours: number; summerHours: number }> {
  authorise(actor, "clock.write");
  const total = await writeTransaction(actor, async (tx) => {
    await lockClock(tx, source);
    const found = (await clocksFound(tx, [source])).get(source);
    const { proposal } = found ?? { proposal: null };
    if (!found || proposal?.offsetHours !== offsetHours || proposal.summerHours !== summerHours)
      throw new AppError("conflict", {
        message: "That correction is no longer what is proposed. Load the page again and look at the evidence.",
      });
    const before = (await clockCorrections(tx)).get(source);
    const now = {
      offsetHours: offsetHours + (before?.offsetHours ?? 0),
      summerHours: summerHours + (before?.summerHours ?? 0),
    };
    await tx`INSERT INTO clock_correction (account_id, source, offset_hours, summer_hours, scan_hours, found, reason, person)
      VALUES (current_account(), ${source}, ${now.offsetHours}, ${now.summerHours}, ${found.scanHours},
        ${tx.json(found as never)}, ${reason}, ${actor.person})`;
    return { result: now, note: { action: "clock.accept", subject: source, detail: { ...now, reason } } };
  });
  await wake(actor);
  return total;
}

/**
 * Withdraw the correction of a log source: its times count as logged again.
 * @throws AppError `not_found` when none is in force
 */
export async function withdrawClock(
  actor: Actor,
  { source, reason }: z.infer<typeof WithdrawClockBody>,
): Promise<{ withdrawn: true }> {
  authorise(actor, "clock.write");
  await writeTransaction(actor, async (tx) => {
    await lockClock(tx, source);
    const found = await tx`UPDATE clock_correction SET withdrawn_at = clock_timestamp(), withdrawn_by = ${actor.person}
      WHERE account_id = current_account() AND source = ${source} AND withdrawn_at IS NULL RETURNING source`;
    if (found.length === 0) throw new AppError("not_found", { message: "No correction of this clock is in force." });
    return { result: null, note: { action: "clock.withdraw", subject: source, detail: { reason } } };
  });
  await wake(actor);
  return { withdrawn: true };
}
