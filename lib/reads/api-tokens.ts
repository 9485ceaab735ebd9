import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import type { TokensView } from "./api-tokens-view.ts";

const Row = z.object({
  token_id: z.string(),
  name: z.string(),
  scopes: z.array(z.string()),
  portfolios: z.array(z.string()).nullable(),
  made_by: z.string(),
  made_at: z.date(),
  expires_at: z.date(),
  revoked_at: z.date().nullable(),
});

/** Tokens of the account, newest first; those that no longer work stay on the list. */
export async function readTokens(actor: Actor): Promise<TokensView> {
  authorise(actor, "tokens.manage");
  return readTransaction(actor, async (tx) => {
    const rows = await tx`SELECT token_id, name, scopes, portfolios, made_by, made_at, expires_at, revoked_at
      FROM api_token WHERE account_id = current_account() ORDER BY made_at DESC, token_id`;
    const books = await tx<{ portfolio: string }[]>`SELECT portfolio FROM portfolio ORDER BY 1`;
    return {
      portfolios: books.map((b) => b.portfolio),
      tokens: z
        .array(Row)
        .parse([...rows])
        .map((t) => ({
          tokenId: t.token_id,
          name: t.name,
          scopes: t.scopes,
          portfolios: t.portfolios,
          madeBy: t.made_by,
          madeAt: t.made_at.toISOString(),
          expiresAt: t.expires_at.toISOString(),
          revokedAt: t.revoked_at?.toISOString() ?? null,
          works: t.revoked_at === null && t.expires_at.getTime() > Date.now(),
        })),
    };
  });
}
