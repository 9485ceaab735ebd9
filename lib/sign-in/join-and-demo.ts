import type { BetterAuthPlugin } from "better-auth";
import { APIError, createAuthEndpoint } from "better-auth/api";
import { z } from "zod";
import type { Database } from "../store/database.ts";
import { lookAtLink } from "./person-link.ts";
import { hashOf } from "./secret-token.ts";
import type { SignInSettings } from "./settings.ts";
import { startSession } from "./start-session.ts";
import { type JoinRefusal, takeLink } from "./take-link.ts";

export const Token = z.string().min(20).max(200);
const Name = z.string().trim().min(1).max(200);
const Email = z.email().max(254);

export const LINK_GONE = "This link was used, has expired, or never was. Ask an administrator for a new one.";
const REFUSED: Record<JoinRefusal, string> = {
  no_address: "Give the e-mail address that you will sign in with.",
  other_address:
    "This invitation is for another e-mail address. Join with that one, or ask an administrator for another invitation.",
  address_taken: "Somebody else signs in with this e-mail address. Give another.",
  identity_taken: "This identity belongs to somebody else here.",
  disabled: "This person was disabled in Raintrip. An administrator can let them in again.",
};

/**
 * Two ways in of our own, inside the library so that its limits, cookies and checks of origin hold for them too: a link
 * that works once, and the people of the demo.
 */
export function joinAndDemo(db: Database, settings: SignInSettings) {
  return {
    id: "raintrip",
    endpoints: {
      /** What a link is for, before it is used. */
      lookAtLink: createAuthEndpoint(
        "/join/look",
        { method: "POST", body: z.object({ token: Token }) },
        async (ctx) => {
          const link = await lookAtLink(db, ctx.body.token);
          if (!link) throw new APIError("NOT_FOUND", { message: LINK_GONE });
          return ctx.json(link);
        },
      ),

      /** Use a link: name and address where they are asked for, a password, and a session. */
      join: createAuthEndpoint(
        "/join",
        {
          method: "POST",
          body: z.object({
            token: Token,
            name: Name.optional(),
            email: Email.optional(),
            password: z.string().max(1000),
          }),
        },
        async (ctx) => {
          const { token, name, email, password } = ctx.body;
          const { minPasswordLength, maxPasswordLength } = ctx.context.password.config;
          if (password.length < minPasswordLength || password.length > maxPasswordLength)
            throw new APIError("BAD_REQUEST", {
              message: `A password has ${minPasswordLength} to ${maxPasswordLength} characters. A few words that belong to nobody are a good one.`,
            });
          const hash = await ctx.context.password.hash(password);
          const given = {
            name: name ?? null,
            email: email?.toLowerCase() ?? null,
            proof: { by: "password", hash },
          } as const;
          const taken = await takeLink(db, hashOf(token), given);
          if (taken.kind === "gone") throw new APIError("NOT_FOUND", { message: LINK_GONE });
          if (taken.kind === "refused") throw new APIError("BAD_REQUEST", { message: REFUSED[taken.why] });
          return ctx.json(await startSession(ctx, taken.userId));
        },
      ),

      /** Act as a person of the demo. */
      signInDemo: createAuthEndpoint(
        "/sign-in/demo",
        { method: "POST", body: z.object({ person: z.string().max(100) }) },
        async (ctx) => {
          if (!settings.demoAllowed) throw new APIError("FORBIDDEN", { message: "Demo people are switched off here." });
          const { rows } = await db.signIn.query(
            `SELECT u.id FROM sign_in_user u JOIN person p USING (account_id, person_id) WHERE p.person_id = $1 AND p.is_demo`,
            [ctx.body.person],
          );
          const id = (rows[0] as { id: string } | undefined)?.id;
          if (!id) throw new APIError("NOT_FOUND", { message: "There is no such person in the demo." });
          return ctx.json(await startSession(ctx, id));
        },
      ),
    },
  } satisfies BetterAuthPlugin;
}
