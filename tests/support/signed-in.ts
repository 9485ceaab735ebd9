import { randomUUID } from "node:crypto";
import type { Role } from "../../lib/core/permissions.ts";
import { makeLink } from "../../lib/sign-in/person-link.ts";
import { type Actor, systemActor } from "../../lib/store/actor.ts";
import { systemTransaction } from "../../lib/store/transaction.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";

export const PASSWORD = "wet clips trip twice";
export const ORIGIN = "http://localhost:4710";

/** A request as a browser on this installation would send it. */
export function fromBrowser(path: string, body?: unknown, headers: Record<string, string> = {}): Request {
  const text = body === undefined ? null : JSON.stringify(body);
  return new Request(`${ORIGIN}${path}`, {
    method: text === null ? "GET" : "POST",
    body: text,
    headers: {
      origin: ORIGIN,
      "x-raintrip-address": "127.0.0.1",
      ...(text === null ? {} : { "content-type": "application/json" }),
      ...headers,
    },
  });
}

/** `name=value` of the session cookie in a reply; null: it set none. */
export function cookieOf(reply: Response): string | null {
  const set = reply.headers.getSetCookie().find((line) => line.includes("session_token="));
  const pair = set?.split(";")[0] ?? "";
  return pair.endsWith("=") || pair === "" ? null : pair;
}

export interface MadePerson {
  actor: Actor;
  email: string;
  cookie: string;
}

/** A person with a role who has joined by a link and is signed in: by the doors that people use. */
export async function signedInAs(
  role: Role,
  scope: { accountId?: number; portfolios?: string[]; crewId?: string } = {},
): Promise<MadePerson> {
  const { accountId = 1, portfolios = null, crewId = null } = scope;
  const person = `t-${role}-${randomUUID().slice(0, 8)}`;
  const secret = await systemTransaction(systemActor(accountId), async (tx) => {
    await tx`INSERT INTO person (account_id, person_id, name, role, portfolios, crew_id)
      VALUES (${accountId}, ${person}, ${`Test ${role}`}, ${role}, ${portfolios}, ${crewId})`;
    return makeLink(tx, "invite", person, "test");
  });
  const email = `${person}@example.test`;
  const reply = await handleSignIn(fromBrowser("/api/auth/join", { token: secret, email, password: PASSWORD }, peer()));
  const cookie = cookieOf(reply);
  if (!cookie) throw new Error(`joining failed: ${reply.status} ${await reply.text()}`);
  return { actor: { accountId, person, role, portfolios, crewId }, email, cookie };
}

/** Another address each time, so that tests do not run into the limits that they do not test. */
let peers = 0;
export const peer = () => ({ "x-raintrip-address": `10.0.${Math.floor(++peers / 250)}.${(peers % 250) + 1}` });
