import "server-only";
import { randomUUID } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { newSecret, secretHash } from "../store/access-links.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";
import { checkContract } from "./coverage-paper.ts";

export const MOST_LINK_DAYS = 180;

export const NewLinkBody = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("site"),
    siteId: z.string().min(1).max(300),
    madeFor: z.string().trim().min(2, "write for whom the link is").max(300),
    days: z.number().int().min(1, "at least 1 day").max(MOST_LINK_DAYS, `at most ${MOST_LINK_DAYS} days`),
  }),
  z.strictObject({
    kind: z.literal("calendar"),
    book: z.string().min(1).max(300),
    madeFor: z.string().trim().min(2, "write for whom the link is").max(300),
  }),
]);
export const RevokeLinkBody = z.strictObject({ linkId: z.uuid() });

/**
 * Make a link that shows one thing without sign-in: the evidence of one site until a day, or the deadlines of one book.
 * @returns its path, given out this once: only a hash of the secret is kept
 * @throws AppError `not_found`
 */
export async function makeLink(
  actor: Actor,
  body: z.infer<typeof NewLinkBody>,
  now: number,
): Promise<{ link_id: string; path: string; expires_at: string | null }> {
  authorise(actor, "coverage.share");
  const id = randomUUID();
  const secret = newSecret(actor.accountId);
  const expires = body.kind === "site" ? new Date(now + body.days * 86_400_000) : null;
  await writeTransaction(actor, async (tx) => {
    if (body.kind === "site") await checkContract(tx, body.siteId, null);
    else {
      const book =
        await tx`SELECT 1 FROM site WHERE account_id = current_account() AND portfolio = ${body.book} LIMIT 1`;
      if (book.length === 0) throw new AppError("not_found", { message: `There is no book "${body.book}".` });
    }
    await tx`INSERT INTO access_link (account_id, link_id, kind, portfolio, site_id, made_for, secret_sha256, made_by, expires_at)
      VALUES (current_account(), ${id}, ${body.kind}, ${body.kind === "calendar" ? body.book : null},
        ${body.kind === "site" ? body.siteId : null}, ${body.madeFor}, ${secretHash(secret)}, ${actor.person}, ${expires})`;
    const subject = body.kind === "site" ? body.siteId : body.book;
    const detail = { linkId: id, kind: body.kind, madeFor: body.madeFor, expiresAt: expires?.toISOString() ?? null };
    return { result: null, note: { action: "link.make", subject, detail } };
  });
  const path = body.kind === "site" ? `/shared/${secret}` : `/api/calendar/${secret}`;
  return { link_id: id, path, expires_at: expires?.toISOString() ?? null };
}

/** @throws AppError `not_found` when no such link is open */
export async function revokeLink(actor: Actor, { linkId }: z.infer<typeof RevokeLinkBody>): Promise<{ revoked: true }> {
  authorise(actor, "coverage.share");
  await writeTransaction(actor, async (tx) => {
    const [row] = await tx<{ subject: string }[]>`
      UPDATE access_link SET revoked_at = clock_timestamp(), revoked_by = ${actor.person}
      WHERE account_id = current_account() AND link_id = ${linkId} AND revoked_at IS NULL RETURNING coalesce(site_id, portfolio) AS subject`;
    if (!row) throw new AppError("not_found", { message: "No such link is open." });
    return { result: null, note: { action: "link.revoke", subject: row.subject, detail: { linkId } } };
  });
  return { revoked: true };
}
