import "server-only";
import { randomUUID } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { localDay } from "../core/zoned-time.ts";
import type { Actor } from "../store/actor.ts";
import { SEND_METHODS } from "../store/coverage-rows.ts";
import { writeTransaction } from "../store/transaction.ts";
import { checkContract } from "./coverage-paper.ts";

export const NoticeSentBody = z.strictObject({
  siteId: z.string().min(1).max(300),
  coverageId: z.string().min(1).max(300),
  discoveryId: z.uuid(),
  kind: z.enum(["notice", "proof_of_loss"]),
  sentOn: z.iso.date("write the day it was sent as YYYY-MM-DD"),
  sentTo: z.string().trim().min(2, "say to whom it was sent").max(500),
  method: z.enum(SEND_METHODS),
  /** The paper that was sent, attached before. */
  documentId: z.uuid("attach the paper that was sent"),
});

/**
 * Record that a notice or proof of loss went out, with its paper.
 * @throws AppError `wrong_use` for a day that is not between discovery and today, `not_found`
 */
export async function recordNotice(
  actor: Actor,
  body: z.infer<typeof NoticeSentBody>,
  now: number,
): Promise<{ notice_id: string }> {
  authorise(actor, "coverage.write");
  const { siteId, coverageId, discoveryId, documentId } = body;
  const id = randomUUID();
  await writeTransaction(actor, async (tx) => {
    await checkContract(tx, siteId, coverageId);
    const [found] = await tx<{ discovered_at: Date; time_zone: string }[]>`
      SELECT discovered_at, time_zone FROM discovery JOIN site USING (account_id, site_id)
      WHERE account_id = current_account() AND site_id = ${siteId} AND discovery_id = ${discoveryId}`;
    if (!found) throw new AppError("not_found", { message: "There is no such discovery at this site." });
    const today = localDay(now, found.time_zone);
    if (body.sentOn > today)
      throw new AppError("wrong_use", {
        message: `${body.sentOn} is after today (${today}). Record it once it is sent.`,
      });
    const paper = await tx`SELECT 1 FROM coverage_document
      WHERE account_id = current_account() AND site_id = ${siteId} AND document_id = ${documentId}`;
    if (paper.length === 0) throw new AppError("not_found", { message: "Attach the paper that was sent first." });
    await tx`INSERT INTO notice_sent
        (account_id, site_id, notice_id, coverage_id, discovery_id, kind, sent_on, sent_to, method, document_id, recorded_by)
      VALUES (current_account(), ${siteId}, ${id}, ${coverageId}, ${discoveryId}, ${body.kind}, ${body.sentOn}, ${body.sentTo},
        ${body.method}, ${documentId}, ${actor.person})`;
    return { result: null, note: { action: "notice.sent", subject: siteId, detail: { noticeId: id, ...body } } };
  });
  return { notice_id: id };
}
