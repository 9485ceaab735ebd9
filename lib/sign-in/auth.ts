import { passkey } from "@better-auth/passkey";
import { betterAuth } from "better-auth";
import { APIError } from "better-auth/api";
import type { Database } from "../store/database.ts";
import { writeTransaction } from "../store/transaction.ts";
import { joinAndDemo } from "./join-and-demo.ts";
import { providerSignIn } from "./provider-sign-in.ts";
import { cookiePrefix, type SignInSettings } from "./settings.ts";

/** A session ends after this whatever happens in it: long enough for a week of visits without an office. */
export const SESSION_DAYS = 14;
export const SHORTEST_PASSWORD = 12;
export const LONGEST_PASSWORD = 128;
/** Header in which the web server says from which address a request came; one that a client sends is overwritten. */
export const PEER_HEADER = "x-raintrip-address";

/** Tries an address may make in a minute. */
const TRIES_A_MINUTE = 20;

/** The library that signs people in, over this database. Nobody signs up by themselves: people come by invitation. */
export function makeAuth(db: Database, settings: SignInSettings) {
  const { url, secret } = settings;
  const byProvider = providerSignIn(db, settings);
  const stamps = { createdAt: "created_at", updatedAt: "updated_at" };
  const user = { userId: "user_id" };
  return betterAuth({
    appName: "Raintrip",
    baseURL: url.origin,
    basePath: "/api/auth",
    secret,
    database: db.signIn,
    telemetry: { enabled: false },
    logger: { level: "error" },
    trustedOrigins: sameMachine(url),
    emailAndPassword: {
      enabled: true,
      disableSignUp: true,
      minPasswordLength: SHORTEST_PASSWORD,
      maxPasswordLength: LONGEST_PASSWORD,
      revokeSessionsOnPasswordReset: true,
    },
    user: { modelName: "sign_in_user", fields: { ...stamps, emailVerified: "email_verified" } },
    session: {
      modelName: "sign_in_session",
      fields: { ...stamps, ...user, expiresAt: "expires_at", ipAddress: "ip_address", userAgent: "user_agent" },
      expiresIn: SESSION_DAYS * 86_400,
      disableSessionRefresh: true,
    },
    account: {
      modelName: "sign_in_proof",
      fields: {
        ...stamps,
        ...user,
        accountId: "subject",
        providerId: "provider_id",
        accessToken: "access_token",
        refreshToken: "refresh_token",
        idToken: "id_token",
        accessTokenExpiresAt: "access_token_expires_at",
        refreshTokenExpiresAt: "refresh_token_expires_at",
      },
      // Who is whom at an identity provider is settled in provider-sign-in.ts alone.
      accountLinking: { enabled: false },
    },
    verification: { modelName: "sign_in_challenge", fields: { ...stamps, expiresAt: "expires_at" } },
    rateLimit: {
      enabled: true,
      storage: "database",
      modelName: "sign_in_rate",
      fields: { lastRequest: "last_request" },
      window: 60,
      max: 100,
      customRules: {
        "/sign-in/email": { window: 60, max: TRIES_A_MINUTE },
        "/sign-in/provider": { window: 60, max: TRIES_A_MINUTE },
        "/join": { window: 60, max: TRIES_A_MINUTE },
        "/join/provider": { window: 60, max: TRIES_A_MINUTE },
        "/join/look": { window: 60, max: TRIES_A_MINUTE },
        "/change-password": { window: 60, max: TRIES_A_MINUTE },
      },
    },
    advanced: {
      cookiePrefix: cookiePrefix(url),
      useSecureCookies: url.protocol === "https:",
      // Said in so many words, because the library leaves these checks out when it finds itself in a test.
      disableOriginCheck: false,
      disableCSRFCheck: false,
      defaultCookieAttributes: { httpOnly: true, sameSite: "lax", path: "/" },
      ipAddress: { ipAddressHeaders: [PEER_HEADER] },
    },
    databaseHooks: { session: { create: { before: refuseDisabled(db), after: noteSession(db) } } },
    plugins: [
      passkey({
        rpID: url.hostname,
        rpName: "Raintrip",
        origin: url.origin,
        schema: {
          passkey: {
            modelName: "sign_in_passkey",
            fields: {
              publicKey: "public_key",
              userId: "user_id",
              credentialID: "credential_id",
              deviceType: "device_type",
              backedUp: "backed_up",
              createdAt: "created_at",
            },
          },
        },
      }),
      joinAndDemo(db, settings),
      ...(byProvider ? [byProvider] : []),
    ],
  });
}
export type Auth = ReturnType<typeof makeAuth>;

/** A browser on this machine may write the loopback address in either way. */
function sameMachine(url: URL): string[] {
  if (url.hostname !== "localhost" && url.hostname !== "127.0.0.1") return [url.origin];
  return ["localhost", "127.0.0.1"].map((host) => `${url.protocol}//${host}${url.port ? `:${url.port}` : ""}`);
}

async function personOf(db: Database, userId: string) {
  const { rows } = await db.signIn.query(
    `SELECT p.account_id, p.person_id, p.role, p.disabled_at FROM sign_in_user u JOIN person p USING (account_id, person_id)
     WHERE u.id = $1`,
    [userId],
  );
  return rows[0] as { account_id: number; person_id: string; role: string; disabled_at: Date | null } | undefined;
}

function refuseDisabled(db: Database) {
  return async (session: { userId: string }): Promise<void> => {
    const person = await personOf(db, session.userId);
    if (!person || person.disabled_at)
      throw new APIError("FORBIDDEN", {
        message: "This person was disabled in Raintrip. An administrator can let them in again.",
      });
  };
}

/** Every way in ends in a session: this is where it is written down. */
function noteSession(db: Database) {
  return async (session: { id: string; userId: string; ipAddress?: string | null | undefined }): Promise<void> => {
    const person = await personOf(db, session.userId);
    if (!person) return;
    const actor = { accountId: person.account_id, person: person.person_id, role: person.role };
    const note = { action: "session.start", subject: session.id, detail: { from: session.ipAddress ?? "" } };
    await writeTransaction(actor, async () => ({ result: null, note }), db);
  };
}
