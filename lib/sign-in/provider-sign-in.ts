import { createHash, randomUUID } from "node:crypto";
import type { BetterAuthPlugin } from "better-auth";
import { APIError, createAuthEndpoint } from "better-auth/api";
import { z } from "zod";
import type { Database } from "../store/database.ts";
import { log } from "../store/log.ts";
import { writeTransaction } from "../store/transaction.ts";
import { LINK_GONE, Token } from "./join-and-demo.ts";
import { lookAtLink } from "./person-link.ts";
import { NotProven, type ProvidedIdentity, ProviderClient, ProviderUnreachable } from "./provider-client.ts";
import { hashOf } from "./secret-token.ts";
import type { SignInSettings } from "./settings.ts";
import { type SignInContext, startSession } from "./start-session.ts";
import { type JoinRefusal, noteJoinRefused, takeLink } from "./take-link.ts";

export const PROVIDER = "oidc";
export const CALLBACK = `/oauth2/callback/${PROVIDER}`;

/** How long somebody may take at the provider. */
const CHALLENGE_S = 600;

/** Why somebody was not let in; the sign-in page has a sentence for each. */
export type ProviderProblem =
  | "expired"
  | "refused"
  | "unreachable"
  | "not_proven"
  | "unverified"
  | "nobody"
  | "other_identity"
  | "disabled"
  | "link_gone"
  | Exclude<JoinRefusal, "no_address">;

const Challenge = z.object({
  ...{ state: z.string(), nonce: z.string(), verifier: z.string(), to: z.string() },
  /** Hash of the secret of the link that is being used, base64url; null: somebody signs in who has joined. */
  link: z.string().nullable().default(null),
});

/**
 * A third way in: an identity provider says who somebody is. It never makes people: who comes in was invited here and has
 * the role that they were invited with, whatever the provider claims of them.
 */
export function providerSignIn(db: Database, { provider, url }: SignInSettings) {
  if (!provider) return null;
  const client = new ProviderClient(provider, `${url.origin}/api/auth${CALLBACK}`);
  const send = async (ctx: SignInContext, kept: { to: string; link: string | null }): Promise<{ url: string }> => {
    const { url, challenge } = await client.begin().catch((error: Error) => {
      log.warn({ reason: error.message, provider: provider.issuer }, "the identity provider could not be asked");
      throw new APIError("SERVICE_UNAVAILABLE", {
        message: `The identity provider (${provider.name}) cannot be reached at the moment. Try again in a minute, or use a password or passkey.`,
      });
    });
    await db.signIn.query("DELETE FROM sign_in_challenge WHERE expires_at < now()");
    await ctx.context.internalAdapter.createVerificationValue({
      identifier: keyOf(challenge.state),
      value: JSON.stringify({ ...challenge, ...kept }),
      expiresAt: new Date(Date.now() + CHALLENGE_S * 1000),
    });
    const cookie = ctx.context.createAuthCookie("provider_state", { maxAge: CHALLENGE_S });
    await ctx.setSignedCookie(cookie.name, challenge.state, ctx.context.secret, cookie.attributes);
    return { url };
  };
  return {
    id: "raintrip-provider",
    endpoints: {
      /** Where to send the browser; what the answer has to fit lies in the database and in a cookie of this browser. */
      signInByProvider: createAuthEndpoint(
        "/sign-in/provider",
        { method: "POST", body: z.object({ to: z.string().max(2000).optional() }) },
        async (ctx) => ctx.json(await send(ctx, { to: ownPath(ctx.body.to), link: null })),
      ),

      /** The same for somebody who was invited and has not joined, or begins anew: the link is used when they come back. */
      joinByProvider: createAuthEndpoint(
        "/join/provider",
        { method: "POST", body: z.object({ token: Token }) },
        async (ctx) => {
          const facts = await lookAtLink(db, ctx.body.token);
          if (!facts) throw new APIError("NOT_FOUND", { message: LINK_GONE });
          if (facts.kind === "set_up")
            throw new APIError("BAD_REQUEST", {
              message: "The first administrator chooses a password; an identity can be tied to it by signing in later.",
            });
          return ctx.json(await send(ctx, { to: "/", link: hashOf(ctx.body.token).toString("base64url") }));
        },
      ),

      /** Back from the provider: a session, or the sign-in page with the reason. */
      providerCallback: createAuthEndpoint(
        CALLBACK,
        { method: "GET", query: z.record(z.string(), z.union([z.string(), z.array(z.string())])) },
        async (ctx) => {
          const query = new URLSearchParams(
            Object.entries(ctx.query).flatMap(([name, value]) =>
              [value].flat().map((one): [string, string] => [name, one]),
            ),
          );
          const cookie = ctx.context.createAuthCookie("provider_state");
          const state = await ctx.getSignedCookie(cookie.name, ctx.context.secret);
          ctx.setCookie(cookie.name, "", { ...cookie.attributes, maxAge: 0 });
          const kept = state && (await ctx.context.internalAdapter.consumeVerificationValue(keyOf(state)));
          // An answer that this browser did not ask for could be another person's, sent to it.
          if (!kept || query.get("state") !== state) throw ctx.redirect("/sign-in?problem=expired");
          const { to, link, ...challenge } = Challenge.parse(JSON.parse(kept.value));
          const away = (problem: ProviderProblem) => `/${link === null ? "sign-in" : "join"}?problem=${problem}`;
          if (query.has("error")) throw ctx.redirect(away("refused"));
          const identity = await client.finish(query, challenge).catch((error: Error) => {
            if (!(error instanceof NotProven) && !(error instanceof ProviderUnreachable)) throw error;
            log.warn(
              { reason: error.message, provider: provider.issuer },
              "an answer of the identity provider was not accepted",
            );
            throw ctx.redirect(away(error instanceof NotProven ? "not_proven" : "unreachable"));
          });
          const found = link === null ? await userOf(db, identity) : await joined(db, link, identity);
          if (typeof found !== "object") throw ctx.redirect(away(found));
          await startSession(ctx, found.userId).catch((error: unknown) => {
            if (error instanceof APIError && error.status === "FORBIDDEN") throw ctx.redirect(away("disabled"));
            throw error;
          });
          throw ctx.redirect(to);
        },
      ),
    },
  } satisfies BetterAuthPlugin;
}

/** The database keeps what is asked for by its hash, so that who reads it cannot answer for the provider. */
const keyOf = (state: string) => `provider/${createHash("sha256").update(state).digest("base64url")}`;

/** A path of this installation; anything else is its first page. */
export function ownPath(to: string | undefined): string {
  const base = "http://own.invalid";
  if (!to || !URL.canParse(to, base)) return "/";
  const target = new URL(to, base);
  return target.origin === base && to.startsWith("/") ? `${target.pathname}${target.search}` : "/";
}

type Found = { userId: string } | ProviderProblem;

/** Use the link of an invitation with this identity. What was refused is on record, and the link still works. */
async function joined(db: Database, link: string, identity: ProvidedIdentity): Promise<Found> {
  const { subject, email, emailVerified } = identity;
  const tokenHash = Buffer.from(link, "base64url");
  const refused = async (why: ProviderProblem) => {
    await noteJoinRefused(db, tokenHash, { why, identity: subject });
    return why;
  };
  if (!email || !emailVerified) return refused("unverified");
  const proof = { by: "identity", provider: PROVIDER, subject } as const;
  const taken = await takeLink(db, tokenHash, { name: null, email, proof });
  if (taken.kind === "joined") return { userId: taken.userId };
  if (taken.kind === "gone") return refused("link_gone");
  return refused(taken.why === "no_address" ? "unverified" : taken.why);
}

/**
 * Who of ours that is. The first time a verified address decides, after that the subject alone, so that an address which
 * the provider later gives to somebody else opens nothing.
 */
async function userOf(db: Database, { subject, email, emailVerified }: ProvidedIdentity): Promise<Found> {
  const known = await db.signIn.query(`SELECT user_id FROM sign_in_proof WHERE provider_id = $1 AND subject = $2`, [
    PROVIDER,
    subject,
  ]);
  const tied = known.rows[0] as { user_id: string } | undefined;
  if (tied) return { userId: tied.user_id };
  if (!email || !emailVerified) return "unverified";
  const { rows } = await db.signIn.query(
    `SELECT u.id, u.account_id, u.person_id, p.role, EXISTS (SELECT 1 FROM sign_in_proof f WHERE f.user_id = u.id AND f.provider_id = $2) AS tied
     FROM sign_in_user u JOIN person p USING (account_id, person_id)
     WHERE u.email = $1 AND u.email_verified AND NOT p.is_demo AND p.disabled_at IS NULL`,
    [email, PROVIDER],
  );
  const user = rows[0] as
    | { id: string; account_id: number; person_id: string; role: string; tied: boolean }
    | undefined;
  if (!user) return "nobody";
  if (user.tied) return "other_identity";
  await db.signIn.query(
    `INSERT INTO sign_in_proof (account_id, id, user_id, provider_id, subject) VALUES ($1, $2, $3, $4, $5)
     ON CONFLICT (provider_id, subject) DO NOTHING`,
    [user.account_id, randomUUID(), user.id, PROVIDER, subject],
  );
  const actor = { accountId: user.account_id, person: user.person_id, role: user.role };
  const note = { action: "person.tie_identity", subject: user.person_id, detail: { identity: subject } };
  await writeTransaction(actor, async () => ({ result: null, note }), db);
  return { userId: user.id };
}
