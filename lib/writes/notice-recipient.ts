import "server-only";
import { randomBytes } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { isTimeZone } from "../core/zoned-time.ts";
import { noticeSettings } from "../jobs/notice-run.ts";
import { wakeNotices } from "../jobs/wake-worker.ts";
import { webhookRefusal } from "../live/send-webhook.ts";
import type { Actor } from "../store/actor.ts";
import { addRecipient, recipients, removeRecipient } from "../store/notice-recipients.ts";
import { addNotices, type NewNotice } from "../store/notices.ts";
import { writeTransaction } from "../store/transaction.ts";

const Clock = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, "a time HH:MM");
export const AddRecipientBody = z.object({
  kind: z.enum(["email", "webhook"]),
  address: z.string().trim().min(3).max(2000),
  makeSafe: z.boolean(),
  planChanges: z.boolean(),
  quietFrom: Clock.nullable(),
  quietTo: Clock.nullable(),
  timeZone: z.string().refine(isTimeZone, "an IANA time zone"),
});
export const RecipientBody = z.object({ recipientId: z.string().min(1) });

/**
 * Tell somebody of make-safe alerts or changes of plans from now on. A webhook's secret is told once.
 * @throws AppError `wrong_use` for an address that cannot be told anything
 */
export async function addNoticeRecipient(
  actor: Actor,
  body: z.infer<typeof AddRecipientBody>,
): Promise<{ recipientId: string; secret: string | null }> {
  authorise(actor, "notices.manage");
  if (!body.makeSafe && !body.planChanges) throw wrong("Choose at least one thing to be told of.");
  if ((body.quietFrom === null) !== (body.quietTo === null)) throw wrong("Quiet hours need a beginning and an end.");
  if (body.kind === "email" && !/^[^\s@<>,;:"]+@[^\s@<>,;:"]+$/.test(body.address))
    throw wrong("That is no e-mail address.");
  const refused = body.kind === "webhook" ? webhookRefusal(body.address, noticeSettings().settings.allowPrivate) : null;
  if (refused !== null) throw wrong(refused);
  const recipientId = randomBytes(8).toString("hex");
  const secret = body.kind === "webhook" ? randomBytes(32).toString("base64url") : null;
  await writeTransaction(actor, async (tx) => {
    await addRecipient(tx, { ...body, recipientId, secret, addedBy: actor.person });
    const { kind, address, makeSafe, planChanges } = body;
    return {
      result: null,
      note: { action: "notice.add", subject: recipientId, detail: { kind, address, makeSafe, planChanges } },
    };
  });
  return { recipientId, secret };
}

/** Tell somebody no more; what waits for them is given up. @throws AppError `not_found` */
export async function removeNoticeRecipient(
  actor: Actor,
  { recipientId }: z.infer<typeof RecipientBody>,
): Promise<{ removed: true }> {
  authorise(actor, "notices.manage");
  return writeTransaction(actor, async (tx) => {
    const address = await removeRecipient(tx, recipientId, actor.person);
    if (address === null) throw new AppError("not_found", { message: "That recipient was removed already." });
    return {
      result: { removed: true as const },
      note: { action: "notice.remove", subject: recipientId, detail: { address } },
    };
  });
}

/** Send somebody a notice that only says that notices arrive. @throws AppError `not_found` */
export async function testNotice(
  actor: Actor,
  { recipientId }: z.infer<typeof RecipientBody>,
): Promise<{ asked: true }> {
  authorise(actor, "notices.manage");
  await writeTransaction(actor, async (tx) => {
    const to = (await recipients(tx)).find((r) => r.recipientId === recipientId);
    if (!to) throw new AppError("not_found", { message: "That recipient was removed already." });
    const notice: NewNotice = {
      event: `test/${randomBytes(6).toString("hex")}`,
      kind: "plan_change",
      subject: "Raintrip: a test",
      body: `${actor.person} asked for this notice to see that notices arrive. Nothing happened at any site.`,
      detail: { test: true },
    };
    await addNotices(tx, [{ recipientId, notice }]);
    return { result: null, note: { action: "notice.test", subject: recipientId } };
  });
  // The worker's own round finds it too; this only makes it sooner.
  await wakeNotices(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { asked: true };
}

const wrong = (message: string) => new AppError("wrong_use", { message });
