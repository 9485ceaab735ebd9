import "server-only";
import { timingSafeEqual } from "node:crypto";
import { AppError } from "../core/app-error.ts";
import { type Actor, LOCAL_ACTOR } from "../store/actor.ts";

/**
 * Who calls the HTTP API. With RAINTRIP_API_TOKEN set, a call must carry it as a bearer token; without it the API
 * answers the one local person, because the server listens on loopback only.
 * @throws AppError `unauthorized` when the token is missing or wrong
 */
export function apiActor(authorization: string | null): Actor {
  const expected = process.env.RAINTRIP_API_TOKEN;
  if (!expected) return LOCAL_ACTOR;
  const given = /^Bearer\s+(.+)$/i.exec(authorization ?? "")?.[1] ?? "";
  const a = Buffer.from(given);
  const b = Buffer.from(expected);
  if (a.length !== b.length || !timingSafeEqual(a, b)) {
    throw new AppError("unauthorized", {
      message: "Send the API token of this installation as: Authorization: Bearer TOKEN",
    });
  }
  return { ...LOCAL_ACTOR, person: "api" };
}
