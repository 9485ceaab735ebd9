import { randomUUID } from "node:crypto";
import type { Database } from "../store/database.ts";
import type { Sql } from "../store/transaction.ts";
import { hashOf, newSecret } from "./secret-token.ts";

export type LinkKind = "set_up" | "invite" | "recover";

/** How long a link waits to be used. */
export const LINK_HOURS: Record<LinkKind, number> = { set_up: 24, invite: 7 * 24, recover: 24 };

export interface LinkFacts {
  kind: LinkKind;
  /** Null: still to be given by who sets the installation up. */
  name: string | null;
  role: string;
  /** The address that whoever joins has to have; null: it is theirs to give. */
  email: string | null;
  expiresAt: string;
}

/**
 * Make a link that lets a person in once; earlier ones of the same person stop working.
 * @param personId null: the administrator that sets an empty installation up
 * @returns its secret, which is not stored
 */
export async function makeLink(tx: Sql, kind: LinkKind, personId: string | null, madeBy: string): Promise<string> {
  const { secret, hash } = newSecret("join-");
  await tx`UPDATE person_link SET expires_at = now() WHERE account_id = current_account() AND used_at IS NULL AND expires_at > now()
    AND person_id IS NOT DISTINCT FROM ${personId}`;
  await tx`INSERT INTO person_link (account_id, link_id, kind, person_id, token_hash, made_by, expires_at)
    VALUES (current_account(), ${randomUUID()}, ${kind}, ${personId}, ${hash}, ${madeBy},
      now() + make_interval(hours => ${LINK_HOURS[kind]}))`;
  return secret;
}

/** A link that works. */
export const OPEN = "used_at IS NULL AND person_link.expires_at > now()";

/** What a link is for; null when it does not work. */
export async function lookAtLink(db: Database, token: string): Promise<LinkFacts | null> {
  const { rows } = await db.signIn.query(
    `SELECT kind, expires_at, p.name, p.role, coalesce(u.email, p.invited_email) AS email FROM person_link
     LEFT JOIN person p ON p.account_id = person_link.account_id AND p.person_id = person_link.person_id
     LEFT JOIN sign_in_user u ON u.account_id = p.account_id AND u.person_id = p.person_id
     WHERE token_hash = $1 AND ${OPEN}`,
    [hashOf(token)],
  );
  const row = rows[0] as
    | { kind: LinkKind; expires_at: Date; name: string | null; role: string | null; email: string | null }
    | undefined;
  if (!row) return null;
  const { kind, name, email } = row;
  return { kind, name, role: row.role ?? "administrator", email, expiresAt: row.expires_at.toISOString() };
}
