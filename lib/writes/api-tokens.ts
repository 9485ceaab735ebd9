import "server-only";
import { randomUUID } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise, TOKEN_SCOPES } from "../core/permissions.ts";
import { newSecret } from "../sign-in/secret-token.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";

export const MOST_DAYS = 366;
export const TokenBody = z.object({
  name: z.string().trim().min(1, "give a name").max(200),
  scopes: z.array(z.enum(TOKEN_SCOPES)).min(1, "choose what it may do"),
  days: z.number().int().min(1).max(MOST_DAYS),
  portfolios: z.array(z.string().min(1).max(300)).max(1000).default([]),
});

export interface MadeToken {
  tokenId: string;
  /** Shown once; only its hash is stored. */
  token: string;
  expiresAt: string;
}

/** Make a token for a program. One that is held to books only reads: an import can bring sites of any book. */
export async function makeToken(actor: Actor, body: z.infer<typeof TokenBody>): Promise<MadeToken> {
  authorise(actor, "tokens.manage");
  const { name, days, portfolios } = body;
  const scopes = [...new Set(body.scopes)];
  if (portfolios.length > 0 && scopes.includes("import"))
    throw new AppError("wrong_use", {
      message: "A token for imports cannot be held to books of sites: an import can bring sites of any book.",
    });
  const { secret, hash } = newSecret("rt_");
  const tokenId = `t-${randomUUID().slice(0, 8)}`;
  return writeTransaction(actor, async (tx) => {
    const books = await tx<
      { portfolio: string }[]
    >`SELECT portfolio FROM portfolio WHERE portfolio = ANY (${portfolios})`;
    const unknown = portfolios.find((p) => !books.some((row) => row.portfolio === p));
    if (unknown !== undefined)
      throw new AppError("wrong_use", { message: `There is no book of sites named "${unknown}".` });
    const expiresAt = new Date(Date.now() + days * 86_400_000).toISOString();
    await tx`
      INSERT INTO api_token (account_id, token_id, name, token_hash, scopes, portfolios, made_by, expires_at)
      VALUES (current_account(), ${tokenId}, ${name}, ${hash}, ${scopes}, ${portfolios.length > 0 ? portfolios : null},
        ${actor.person}, ${expiresAt})`;
    return {
      result: { tokenId, token: secret, expiresAt },
      note: { action: "token.make", subject: tokenId, detail: { name, scopes, portfolios, expiresAt } },
    };
  });
}

/** End a token at once. @throws AppError `not_found` when there is none that works */
export async function revokeToken(actor: Actor, tokenId: string): Promise<{ tokenId: string }> {
  authorise(actor, "tokens.manage");
  return writeTransaction(actor, async (tx) => {
    const done = await tx`UPDATE api_token SET revoked_at = now() WHERE token_id = ${tokenId} AND revoked_at IS NULL`;
    if (done.count === 0) throw new AppError("not_found", { message: `There is no token "${tokenId}" that works.` });
    return { result: { tokenId }, note: { action: "token.revoke", subject: tokenId } };
  });
}
