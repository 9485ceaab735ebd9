import { afterAll, beforeAll, beforeEach, expect } from "vitest";
import { whoHasSession } from "../../lib/sign-in/who-asks.ts";
import { handleSignIn } from "../../lib/writes/sign-in.ts";
import { CLIENT_ID, CLIENT_SECRET, type IdentityProviderStub, startIdentityProvider } from "./identity-provider.ts";
import { cookieOf, fromBrowser, ORIGIN, peer } from "./signed-in.ts";

export const SECRET = "a secret of the tests that is long enough for anybody";
export const CALLBACK = `${ORIGIN}/api/auth/oauth2/callback/oidc`;

/** An installation that people enter by an identity provider, for the tests of one file. */
export function useIdentityProvider(): () => IdentityProviderStub {
  let provider: IdentityProviderStub;
  process.env.RAINTRIP_SECRET = SECRET;
  beforeAll(async () => {
    provider = await startIdentityProvider(CALLBACK);
    Object.assign(process.env, {
      RAINTRIP_OIDC_ISSUER: provider.issuer,
      RAINTRIP_OIDC_CLIENT_ID: CLIENT_ID,
      RAINTRIP_OIDC_CLIENT_SECRET: CLIENT_SECRET,
      RAINTRIP_OIDC_NAME: "the works directory",
    });
  });
  beforeEach(() => {
    provider.slip = null;
    provider.agrees = true;
  });
  afterAll(async () => {
    for (const name of ["ISSUER", "CLIENT_ID", "CLIENT_SECRET", "NAME"]) delete process.env[`RAINTRIP_OIDC_${name}`];
    await provider.close();
  });
  return () => provider;
}

export const who = (cookie: string) => whoHasSession(decodeURIComponent(cookie.split("=").slice(1).join("=")), SECRET);

/** Ask where to go, at the sign-in page or with a link. */
export async function begin(body: object = {}, at = "/api/auth/sign-in/provider") {
  const reply = await handleSignIn(fromBrowser(at, body, peer()));
  expect(reply.status).toBe(200);
  const { url } = (await reply.json()) as { url: string };
  const cookie = reply.headers
    .getSetCookie()
    .map((line) => line.split(";")[0] as string)
    .join("; ");
  return { url, cookie };
}

/** Come back to the address that the provider sent to. */
export async function back(address: string, cookie: string) {
  const { pathname, search } = new URL(address);
  const reply = await handleSignIn(fromBrowser(`${pathname}${search}`, undefined, { ...peer(), cookie }));
  expect(reply.status).toBe(302);
  return { to: reply.headers.get("location"), session: cookieOf(reply) };
}
