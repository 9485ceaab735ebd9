import "server-only";
import { timingSafeEqual } from "node:crypto";
import { AppError } from "../core/app-error.ts";
import { TOKEN_SCOPES } from "../core/permissions.ts";
import { hashOf } from "../sign-in/secret-token.ts";
import { whoHasToken } from "../sign-in/who-asks.ts";
import type { Actor } from "../store/actor.ts";
import { currentPerson } from "./actor.ts";

const HOW =
  "Send a token as: Authorization: Bearer TOKEN. An administrator makes one under Tokens, or on the machine itself: npm run --silent raintrip -- token NAME";

/**
 * Who calls the HTTP API: a bearer token, or the session of a signed-in browser. RAINTRIP_API_TOKEN is one more token with
 * every scope, for installations that are set up by their environment.
 * @throws AppError `unauthorized` when neither is there, or the token is wrong, expired or revoked
 */
export async function apiActor(authorization: string | null): Promise<Actor> {
  if (authorization === null) {
    const person = await currentPerson();
    if (person) return person.actor;
    throw new AppError("unauthorized", { message: HOW });
  }
  const given = /^Bearer\s+(\S+)$/i.exec(authorization)?.[1];
  const actor = given ? (fromEnvironment(given) ?? (await whoHasToken(given))) : null;
  if (!actor)
    throw new AppError("unauthorized", { message: `This token is not known, has expired or was revoked. ${HOW}` });
  return actor;
}

function fromEnvironment(given: string): Actor | null {
  const expected = process.env.RAINTRIP_API_TOKEN;
  if (!expected || !timingSafeEqual(hashOf(given), hashOf(expected))) return null;
  return { accountId: 1, person: "token:environment", role: "token", scopes: TOKEN_SCOPES };
}
