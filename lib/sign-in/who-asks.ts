import { createHmac, timingSafeEqual } from "node:crypto";
import { z } from "zod";
import { UNITS, type Units } from "../core/units.ts";
import type { Actor } from "../store/actor.ts";
import { type Database, database } from "../store/database.ts";
import { hashOf } from "./secret-token.ts";

/** Somebody with a session. */
export interface SignedIn {
  actor: Actor;
  name: string;
  email: string;
  sessionId: string;
  isDemo: boolean;
  /** In which they read. */
  units: Units;
}

const SessionRow = z.object({
  account_id: z.number(),
  person_id: z.string(),
  name: z.string(),
  role: z.string(),
  portfolios: z.array(z.string()).nullable(),
  crew_id: z.string().nullable(),
  is_demo: z.boolean(),
  email: z.string(),
  session_id: z.string(),
  units: z.enum(UNITS),
});

/** The one query that a signed-in request costs. */
const SESSION = `
  SELECT p.account_id, p.person_id, p.name, p.role, p.portfolios, p.crew_id, p.is_demo, u.email, s.id AS session_id,
    coalesce(t.units, 'metric') AS units
  FROM sign_in_session s
  JOIN sign_in_user u ON u.account_id = s.account_id AND u.id = s.user_id
  JOIN person p ON p.account_id = u.account_id AND p.person_id = u.person_id
  LEFT JOIN person_setting t ON t.account_id = p.account_id AND t.person_id = p.person_id
  WHERE s.token = $1 AND s.expires_at > now() AND p.disabled_at IS NULL`;

/** Prepared once a connection, where a connection stays one's own. */
const prepared = ({ address }: Database, name: string) => (address.pooledSignInUrl === undefined ? { name } : {});

/** The token in a session cookie as the browser sent it, when its signature is ours; otherwise null, and nothing is asked. */
export function tokenOfCookie(value: string, secret: string): string | null {
  const at = value.lastIndexOf(".");
  if (at < 1) return null;
  const token = value.slice(0, at);
  const given = Buffer.from(value.slice(at + 1), "base64");
  const right = createHmac("sha256", secret).update(token).digest();
  return given.length === right.length && timingSafeEqual(given, right) ? token : null;
}

/** Whose session a cookie is; null: nobody's, or it ended, or the person was disabled. */
export async function whoHasSession(cookie: string, secret: string, db?: Database): Promise<SignedIn | null> {
  const token = tokenOfCookie(cookie, secret);
  if (!token) return null;
  const from = db ?? (await database());
  const { rows } = await from.signIn.query({ ...prepared(from, "session"), text: SESSION, values: [token] });
  if (!rows[0]) return null;
  const row = SessionRow.parse(rows[0]);
  return {
    actor: {
      accountId: row.account_id,
      person: row.person_id,
      role: row.role,
      portfolios: row.role === "owner" ? (row.portfolios ?? []) : null,
      crewId: row.crew_id,
    },
    name: row.name,
    email: row.email,
    sessionId: row.session_id,
    isDemo: row.is_demo,
    units: row.units,
  };
}

const TokenRow = z.object({
  account_id: z.number(),
  token_id: z.string(),
  scopes: z.array(z.string()),
  portfolios: z.array(z.string()).nullable(),
});

/** Whose a bearer token is; null: nobody's, expired or revoked. */
export async function whoHasToken(token: string, db?: Database): Promise<Actor | null> {
  const from = db ?? (await database());
  const { rows } = await from.signIn.query({
    ...prepared(from, "token"),
    text: `SELECT account_id, token_id, scopes, portfolios FROM api_token
      WHERE token_hash = $1 AND expires_at > now() AND revoked_at IS NULL`,
    values: [hashOf(token)],
  });
  if (!rows[0]) return null;
  const row = TokenRow.parse(rows[0]);
  return {
    accountId: row.account_id,
    person: `token:${row.token_id}`,
    role: "token",
    scopes: row.scopes,
    portfolios: row.portfolios,
  };
}
