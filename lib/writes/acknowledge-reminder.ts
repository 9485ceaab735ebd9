import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { REMINDER_ALERT } from "../jobs/coverage-reminders.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";

export const AcknowledgeBody = z.strictObject({
  key: z.string().min(1).max(2000),
  by: z.string().trim().min(2, "write who has read it").max(300),
});

/** @throws AppError `not_found` when no such reminder waits */
export async function acknowledgeReminder(
  actor: Actor,
  { key, by }: z.infer<typeof AcknowledgeBody>,
): Promise<{ acknowledged: true }> {
  authorise(actor, "coverage.write");
  await writeTransaction(actor, async (tx) => {
    const [row] = await tx<{ site_id: string }[]>`
      UPDATE outbox_alert SET acknowledged_by = ${by}, acknowledged_at = clock_timestamp()
      WHERE account_id = current_account() AND kind = ${REMINDER_ALERT} AND subject = ${key} AND acknowledged_at IS NULL
      RETURNING detail ->> 'siteId' AS site_id`;
    if (!row) throw new AppError("not_found", { message: "That reminder has been read already." });
    return { result: null, note: { action: "coverage.reminder_read", subject: row.site_id, detail: { key, by } } };
  });
  return { acknowledged: true };
}
