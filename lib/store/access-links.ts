import { createHash, randomBytes } from "node:crypto";
import { z } from "zod";
import { type Actor, systemActor } from "./actor.ts";
import { readTransaction, type Sql } from "./transaction.ts";

const SECRET_BYTES = 32;

/** The secret of a link: the account in the clear, because row security must know it before anything can be read. */
export const newSecret = (accountId: number): string =>
  `${accountId}.${randomBytes(SECRET_BYTES).toString("base64url")}`;

export const secretHash = (secret: string): string => createHash("sha256").update(secret).digest("hex");

const LinkRow = z.object({
  link_id: z.string(),
  kind: z.enum(["calendar", "site"]),
  portfolio: z.string().nullable(),
  site_id: z.string().nullable(),
  made_for: z.string(),
  made_by: z.string(),
  expires_at: z.date().nullable(),
});

export interface OpenLink {
  actor: Actor;
  linkId: string;
  kind: "calendar" | "site";
  portfolio: string | null;
  siteId: string | null;
  madeFor: string;
  madeBy: string;
  expiresAt: Date | null;
}

/**
 * The link that a secret opens now. Unknown, revoked and expired ones cannot be told apart by who asks.
 * @returns null when it opens nothing
 */
export async function openLink(secret: string, kind: OpenLink["kind"], now: number): Promise<OpenLink | null> {
  const account = /^([1-9]\d{0,8})\.[A-Za-z0-9_-]{43}$/.exec(secret)?.[1];
  if (!account) return null;
  const row = await readTransaction(systemActor(Number(account)), (tx) => linkRow(tx, secretHash(secret), kind, now));
  if (!row) return null;
  return {
    // Whoever holds the link is named by it in the audit log.
    actor: {
      ...{ accountId: Number(account), person: `link/${row.link_id}`, role: "link" },
      ...{ portfolios: row.portfolio === null ? null : [row.portfolio], siteId: row.site_id },
    },
    linkId: row.link_id,
    kind: row.kind,
    portfolio: row.portfolio,
    siteId: row.site_id,
    madeFor: row.made_for,
    madeBy: row.made_by,
    expiresAt: row.expires_at,
  };
}

async function linkRow(tx: Sql, hash: string, kind: string, now: number): Promise<z.infer<typeof LinkRow> | null> {
  const [row] = await tx`SELECT link_id::text, kind, portfolio, site_id, made_for, made_by, expires_at FROM access_link
    WHERE account_id = current_account() AND secret_sha256 = ${hash} AND kind = ${kind} AND revoked_at IS NULL
      AND (expires_at IS NULL OR expires_at > ${new Date(now)})`;
  return row ? LinkRow.parse(row) : null;
}
