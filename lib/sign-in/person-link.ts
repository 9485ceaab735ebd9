import { randomUUID } from "node:crypto";
import type { PoolClient } from "pg";
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

const OPEN = "used_at IS NULL AND person_link.expires_at > now()";

/** What a link is for; null when it does not work. */
export async function lookAtLink(db: Database, token: string): Promise<LinkFacts | null> {
  const { rows } = await db.signIn.query(
    `SELECT kind, expires_at, p.name, p.role, u.email FROM person_link
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

interface Joining {
  name: string | null;
  email: string | null;
  passwordHash: string;
  newId: () => string;
}

export type TakenLink = { kind: "joined"; userId: string } | { kind: "gone" } | { kind: "refused"; says: string };

/** Use a link up, and set the password of its person: all of it or nothing. */
export async function takeLink(db: Database, token: string, joining: Joining): Promise<TakenLink> {
  const client = await db.signIn.connect();
  try {
    await client.query("BEGIN");
    const taken = await takeInside(client, token, joining);
    await client.query(taken.kind === "joined" ? "COMMIT" : "ROLLBACK");
    return taken;
  } catch (error) {
    await client.query("ROLLBACK").catch(() => {});
    throw error;
  } finally {
    client.release();
  }
}

async function takeInside(client: PoolClient, token: string, joining: Joining): Promise<TakenLink> {
  const { rows } = await client.query(
    `UPDATE person_link SET used_at = now() WHERE token_hash = $1 AND ${OPEN} RETURNING account_id, kind, person_id`,
    [hashOf(token)],
  );
  const link = rows[0] as { account_id: number; kind: LinkKind; person_id: string | null } | undefined;
  if (!link) return { kind: "gone" };
  const account = link.account_id;
  const personId = link.person_id ?? (await firstPerson(client, account, joining));
  if (!personId) return { kind: "gone" };
  const known = await client.query(`SELECT id, email FROM sign_in_user WHERE account_id = $1 AND person_id = $2`, [
    account,
    personId,
  ]);
  let userId = (known.rows[0] as { id: string } | undefined)?.id;
  if (!userId) {
    if (!joining.email) return { kind: "refused", says: "Give the e-mail address that you will sign in with." };
    userId = joining.newId();
    const made = await client.query(
      `INSERT INTO sign_in_user (account_id, id, person_id, name, email, email_verified)
       SELECT $1, $2, person_id, name, $4, true FROM person WHERE account_id = $1 AND person_id = $3
       ON CONFLICT DO NOTHING`,
      [account, userId, personId, joining.email],
    );
    if (made.rowCount === 0)
      return { kind: "refused", says: "Somebody else signs in with this e-mail address. Give another." };
  }
  await client.query(`DELETE FROM sign_in_session WHERE user_id = $1`, [userId]);
  // Also what ties the person to an identity provider: a link is how an administrator lets them begin anew.
  await client.query(`DELETE FROM sign_in_proof WHERE user_id = $1`, [userId]);
  await client.query(
    `INSERT INTO sign_in_proof (account_id, id, user_id, provider_id, subject, password) VALUES ($1, $2, $3, 'credential', $3, $4)`,
    [account, joining.newId(), userId, joining.passwordHash],
  );
  return { kind: "joined", userId };
}

/** Who sets an installation up becomes its administrator, as long as nobody else can sign in. */
async function firstPerson(client: PoolClient, account: number, { name, newId }: Joining): Promise<string | null> {
  await client.query("SELECT pg_advisory_xact_lock(7209, $1)", [account]);
  const { rows } = await client.query(`SELECT 1 FROM sign_in_user WHERE account_id = $1 LIMIT 1`, [account]);
  if (rows.length > 0) return null;
  const id = `p-${newId().slice(0, 8)}`;
  await client.query(`INSERT INTO person (account_id, person_id, name, role) VALUES ($1, $2, $3, 'administrator')`, [
    account,
    id,
    name ?? "Administrator",
  ]);
  return id;
}
