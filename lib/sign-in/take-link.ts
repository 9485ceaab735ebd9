import { randomUUID } from "node:crypto";
import type { PoolClient } from "pg";
import { type Actor, systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { writeTransaction } from "../store/transaction.ts";
import { type LinkKind, OPEN } from "./person-link.ts";

/** How whoever joins will prove who they are. An identity's address is one that its provider has verified. */
export type JoinProof = { by: "password"; hash: string } | { by: "identity"; provider: string; subject: string };

export interface Joining {
  name: string | null;
  /** In lower case. */
  email: string | null;
  proof: JoinProof;
}

/** Why a link that works was not used: it still works afterwards. */
export type JoinRefusal = "no_address" | "other_address" | "address_taken" | "identity_taken" | "disabled";
export type TakenLink = { kind: "joined"; userId: string } | { kind: "gone" } | { kind: "refused"; why: JoinRefusal };

/**
 * Use a link up, and let its person prove who they are in this one way from now on: all of it with its audit entry, or nothing.
 * @param tokenHash of the link's secret
 */
export async function takeLink(db: Database, tokenHash: Buffer, joining: Joining): Promise<TakenLink> {
  const client = await db.signIn.connect();
  try {
    await client.query("BEGIN");
    const taken = await takeInside(client, tokenHash, joining);
    await client.query(taken.kind === "joined" ? "COMMIT" : "ROLLBACK");
    return taken;
  } catch (error) {
    await client.query("ROLLBACK").catch(() => {});
    throw error;
  } finally {
    client.release();
  }
}

/** Put on record that somebody came with a link and was not let in by an identity; nothing where nobody knows the link. */
export async function noteJoinRefused(db: Database, tokenHash: Buffer, detail: { why: string; identity?: string }) {
  const { rows } = await db.signIn.query(`SELECT account_id, person_id FROM person_link WHERE token_hash = $1`, [
    tokenHash,
  ]);
  const link = rows[0] as { account_id: number; person_id: string | null } | undefined;
  if (!link?.person_id) return;
  const note = { action: "person.join_refused", subject: link.person_id, detail };
  await writeTransaction(systemActor(link.account_id), async () => ({ result: null, note }), db);
}

interface Known {
  role: string;
  invited_email: string | null;
  disabled: boolean;
  user_id: string | null;
  email: string | null;
}

async function takeInside(client: PoolClient, tokenHash: Buffer, joining: Joining): Promise<TakenLink> {
  const { rows } = await client.query(
    `UPDATE person_link SET used_at = now() WHERE token_hash = $1 AND ${OPEN} RETURNING account_id, kind, person_id`,
    [tokenHash],
  );
  const link = rows[0] as { account_id: number; kind: LinkKind; person_id: string | null } | undefined;
  if (!link) return { kind: "gone" };
  const accountId = link.account_id;
  const person = link.person_id ?? (await firstPerson(client, accountId, joining.name));
  if (!person) return { kind: "gone" };
  const read = await client.query(
    `SELECT p.role, p.invited_email, p.disabled_at IS NOT NULL AS disabled, u.id AS user_id, u.email
     FROM person p LEFT JOIN sign_in_user u USING (account_id, person_id) WHERE account_id = $1 AND person_id = $2`,
    [accountId, person],
  );
  const known = read.rows[0] as Known;
  const why = known.disabled ? "disabled" : await refusal(client, known, joining);
  if (why) return { kind: "refused", why };
  const userId = known.user_id ?? (await makeUser(client, { accountId, person, email: joining.email as string }));
  if (!userId) return { kind: "refused", why: "address_taken" };
  await client.query(`DELETE FROM sign_in_session WHERE user_id = $1`, [userId]);
  // Also what ties the person to an identity provider: a link is how an administrator lets them begin anew.
  await client.query(`DELETE FROM sign_in_proof WHERE user_id = $1`, [userId]);
  const { proof } = joining;
  const [provider, subject, hash] =
    proof.by === "password" ? ["credential", userId, proof.hash] : [proof.provider, proof.subject, null];
  const proved = await client.query(
    `INSERT INTO sign_in_proof (account_id, id, user_id, provider_id, subject, password) VALUES ($1, $2, $3, $4, $5, $6)
     ON CONFLICT DO NOTHING`,
    [accountId, randomUUID(), userId, provider, subject, hash],
  );
  if (proved.rowCount === 0) return { kind: "refused", why: "identity_taken" };
  await note(client, { accountId, person, role: known.role }, { link: link.kind, ...withoutHash(proof) });
  return { kind: "joined", userId };
}

const withoutHash = (proof: JoinProof) =>
  proof.by === "password" ? { by: proof.by } : { by: proof.by, identity: proof.subject };

/** Why this proof or address does not fit the person of the link; null: it does. */
async function refusal(client: PoolClient, known: Known, { email, proof }: Joining): Promise<JoinRefusal | null> {
  if (proof.by === "identity") {
    const { rows } = await client.query(`SELECT user_id FROM sign_in_proof WHERE provider_id = $1 AND subject = $2`, [
      proof.provider,
      proof.subject,
    ]);
    const owner = (rows[0] as { user_id: string } | undefined)?.user_id;
    if (owner !== undefined && owner !== known.user_id) return "identity_taken";
    if (owner === undefined && known.email !== null && known.email !== email) return "other_address";
  }
  if (known.user_id) return null; // a person's address stays
  if (!email) return "no_address";
  return known.invited_email !== null && known.invited_email !== email ? "other_address" : null;
}

interface NewUser {
  accountId: number;
  person: string;
  email: string;
}

/** @returns null when somebody else signs in with this address */
async function makeUser(client: PoolClient, { accountId, person, email }: NewUser): Promise<string | null> {
  const userId = randomUUID();
  const made = await client.query(
    `INSERT INTO sign_in_user (account_id, id, person_id, name, email, email_verified)
     SELECT $1, $2, person_id, name, $4, true FROM person WHERE account_id = $1 AND person_id = $3
     ON CONFLICT DO NOTHING`,
    [accountId, userId, person, email],
  );
  return made.rowCount === 0 ? null : userId;
}

/** In the transaction of the change itself, as its last statement: from here on it acts as the person. */
async function note(client: PoolClient, actor: Actor, detail: Record<string, string>): Promise<void> {
  await client.query(
    `SELECT set_config('raintrip.account', $1, true), set_config('raintrip.person', $2, true), set_config('raintrip.role', $3, true)`,
    [String(actor.accountId), actor.person, actor.role],
  );
  await client.query(`SELECT audit_append('person.join', $1, $2)`, [actor.person, JSON.stringify(detail)]);
}

/** Who sets an installation up becomes its administrator, as long as nobody else can sign in. */
async function firstPerson(client: PoolClient, accountId: number, name: string | null): Promise<string | null> {
  await client.query("SELECT pg_advisory_xact_lock(7209, $1)", [accountId]);
  const { rows } = await client.query(`SELECT 1 FROM sign_in_user WHERE account_id = $1 LIMIT 1`, [accountId]);
  if (rows.length > 0) return null;
  const id = `p-${randomUUID().slice(0, 8)}`;
  await client.query(`INSERT INTO person (account_id, person_id, name, role) VALUES ($1, $2, $3, 'administrator')`, [
    accountId,
    id,
    name ?? "Administrator",
  ]);
  return id;
}
