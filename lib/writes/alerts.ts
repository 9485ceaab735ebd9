import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { addEvent, audit, lockMakeSafe, makeSafes, progressOf } from "../store/make-safe.ts";
import { ALERT_KINDS, acknowledgeMakeSafeAlerts } from "../store/outbox.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";

export const AcknowledgeAlertBody = z.strictObject({
  kind: z.enum(ALERT_KINDS),
  subject: z.string().min(1).max(1000),
  by: z.string().trim().min(1, "give your name").max(200),
});

/**
 * A named person takes an alert. One that speaks of an emergency is the first step of its make_safe too. An alert that
 * somebody has keeps that name.
 * @throws AppError `not_found` when there is no such alert; `conflict` naming who has it already
 */
export async function acknowledgeAlert(
  actor: Actor,
  { kind, subject, by }: z.infer<typeof AcknowledgeAlertBody>,
): Promise<{ acknowledgedBy: string }> {
  authorise(actor, "alerts.write");
  return writeTransaction(actor, async (tx) => {
    const [found] = await tx<{ detail: { siteId?: string } }[]>`SELECT detail FROM outbox_alert
      WHERE account_id = current_account() AND kind = ${kind} AND subject = ${subject}`;
    if (!found) throw new AppError("not_found", { message: "There is no such alert." });
    const { siteId } = found.detail;
    // In the order in which the steps of a make_safe lock, so that neither waits for the other.
    if (siteId) await lockMakeSafe(tx, siteId);
    const [alert] = await tx<{ acknowledged_by: string | null }[]>`SELECT acknowledged_by FROM outbox_alert
      WHERE account_id = current_account() AND kind = ${kind} AND subject = ${subject} FOR UPDATE`;
    if (!alert) throw new AppError("not_found", { message: "There is no such alert." });
    if (alert.acknowledged_by !== null)
      throw new AppError("conflict", { message: `${alert.acknowledged_by} has it already.` });
    await tx`UPDATE outbox_alert SET acknowledged_by = ${by}, acknowledged_at = clock_timestamp()
      WHERE account_id = current_account() AND kind = ${kind} AND subject = ${subject}`;
    if (kind !== "checkout_overdue" && siteId) await takeMakeSafe(tx, siteId, by);
    return { result: { acknowledgedBy: by }, note: { action: "alert.acknowledge", subject, detail: { kind, by } } };
  });
}

/** The open make_safe of a site gets its first name, if nobody has it yet. */
async function takeMakeSafe(tx: Sql, siteId: string, by: string): Promise<void> {
  const open = (await makeSafes(tx, { siteId })).find((one) => one.closedAt === null);
  if (!open || progressOf(open, Date.now()).step !== "alert") return;
  await addEvent(tx, open.makeSafeId, "acknowledged", by, {});
  await acknowledgeMakeSafeAlerts(tx, open, by);
  await audit(tx, "make_safe.acknowledged", open.makeSafeId, { siteId, by });
}

export const DutyBody = z.strictObject({
  people: z
    .array(
      z.strictObject({
        name: z.string().trim().min(1, "give a name").max(200),
        phone: z.string().trim().min(1, "give a number").max(60),
      }),
    )
    .max(20),
});

/** Who answers alerts, in the order in which they are asked: the whole list anew. */
export async function saveDuty(actor: Actor, { people }: z.infer<typeof DutyBody>): Promise<z.infer<typeof DutyBody>> {
  authorise(actor, "alerts.duty");
  return writeTransaction(actor, async (tx) => {
    await tx`DELETE FROM duty_person WHERE account_id = current_account()`;
    for (const [i, { name, phone }] of people.entries())
      await tx`INSERT INTO duty_person (account_id, place, name, phone) VALUES (current_account(), ${i + 1}, ${name}, ${phone})`;
    return { result: { people }, note: { action: "duty.save", subject: "duty", detail: { people } } };
  });
}
