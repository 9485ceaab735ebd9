import http from "node:http";
import type { AddressInfo } from "node:net";
import { type CryptoKey, decodeJwt, exportJWK, generateKeyPair, type JWTPayload, SignJWT } from "jose";
import Provider, { type KoaContextWithOIDC } from "oidc-provider";

export const CLIENT_ID = "raintrip-under-test";
export const CLIENT_SECRET = "a client secret that nobody else has";

/** Somebody at the provider. */
export interface Account {
  sub: string;
  email: string;
  email_verified: boolean;
}

/** What the next tokens are to have wrong with them. */
export interface Slip {
  claims?: JWTPayload;
  /** Sign with a key that the provider does not publish. */
  foreignKey?: boolean;
  /** Leave the ID token out. */
  without?: boolean;
  /** Answer for another subject when asked for the person. */
  userinfoSub?: string;
}

export interface IdentityProviderStub {
  issuer: string;
  /** Who is at the browser. */
  account: Account;
  slip: Slip | null;
  /** Whether the person agrees. */
  agrees: boolean;
  /** Go through the provider's pages as a browser does, to the address that it sends back to. */
  visit: (url: string) => Promise<string>;
  /** Break off all connections and listen no more, or again at the same address. */
  down: () => Promise<void>;
  up: () => Promise<void>;
  close: () => Promise<void>;
}

/**
 * An OpenID provider by an implementation that is none of ours (npm oidc-provider, certified by the OpenID Foundation as its
 * authors say), whose sign-in page takes `account` at its word. `slip` spoils what it would have sent.
 */
export async function startIdentityProvider(
  redirectUri: string,
  { emailInToken = true } = {},
): Promise<IdentityProviderStub> {
  const server = http.createServer();
  const listen = (port: number) => new Promise<void>((resolve) => server.listen(port, "127.0.0.1", resolve));
  await listen(0);
  const { port } = server.address() as AddressInfo;
  const issuer = `http://127.0.0.1:${port}`;
  const { privateKey } = await generateKeyPair("RS256", { extractable: true });
  const foreign = (await generateKeyPair("RS256")).privateKey;
  const jwk = { ...(await exportJWK(privateKey)), kid: "k1", alg: "RS256", use: "sig" };

  const stub: IdentityProviderStub = {
    issuer,
    account: { sub: "none", email: "none@example.test", email_verified: false },
    slip: null,
    agrees: true,
    visit: (url) => visit(url, issuer),
    down: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
    up: () => listen(port),
    close: () => stub.down(),
  };
  const provider = new Provider(issuer, {
    clients: [{ client_id: CLIENT_ID, client_secret: CLIENT_SECRET, redirect_uris: [redirectUri] }],
    jwks: { keys: [jwk] },
    conformIdTokenClaims: !emailInToken,
    claims: { openid: ["sub"], email: ["email", "email_verified"], profile: ["name"] },
    features: { devInteractions: { enabled: false } },
    pkce: { required: () => true },
    interactions: { url: (_ctx, interaction) => `/enter/${interaction.uid}` },
    cookies: { keys: ["only of this test"] },
    ttl: { Interaction: 600, Session: 600, Grant: 600, AccessToken: 600, IdToken: 600 },
    findAccount: (_ctx, id) => ({
      accountId: id,
      claims: () => ({ ...stub.account, name: "A Person" }),
    }),
  });
  provider.use(async (ctx, next) => {
    await next();
    if (stub.slip) await spoil(ctx as KoaContextWithOIDC, stub.slip, { privateKey, foreign });
  });
  provider.on("server_error", (_ctx, error) => process.stderr.write(`identity provider: ${error.stack}\n`));
  const callback = provider.callback();
  server.on("request", async (request, response) => {
    if (!request.url?.startsWith("/enter/")) return callback(request, response);
    await provider.interactionFinished(request, response, await decide(provider, request, response, stub));
  });
  return stub;
}

/** What the person does at the provider: says who they are and what they share, or turns back. */
async function decide(
  provider: Provider,
  request: http.IncomingMessage,
  response: http.ServerResponse,
  { account, agrees }: IdentityProviderStub,
) {
  const { prompt, params } = await provider.interactionDetails(request, response);
  if (!agrees) return { error: "access_denied" };
  if (prompt.name === "login") return { login: { accountId: account.sub } };
  const grant = new provider.Grant({ accountId: account.sub, clientId: String(params.client_id) });
  grant.addOIDCScope("openid email profile");
  return { consent: { grantId: await grant.save() } };
}

async function spoil(
  ctx: KoaContextWithOIDC,
  slip: Slip,
  { privateKey, foreign }: { privateKey: CryptoKey; foreign: CryptoKey },
): Promise<void> {
  const body = ctx.body as { id_token?: string; sub?: string } | undefined;
  if (ctx.path === "/me" && body && slip.userinfoSub) ctx.body = { ...body, sub: slip.userinfoSub };
  if (ctx.path !== "/token" || !body?.id_token) return;
  const { id_token, ...rest } = body;
  const signed = await new SignJWT({ ...decodeJwt(id_token), ...slip.claims })
    .setProtectedHeader({ alg: "RS256", kid: "k1" })
    .sign(slip.foreignKey ? foreign : privateKey);
  ctx.body = slip.without ? rest : { ...rest, id_token: signed };
}

/** Follow redirects with cookies, as long as they stay at the provider. */
async function visit(url: string, issuer: string): Promise<string> {
  const cookies = new Map<string, string>();
  let at = url;
  for (let hops = 0; hops < 12; hops++) {
    const reply = await fetch(at, {
      redirect: "manual",
      headers: { cookie: [...cookies].map(([name, value]) => `${name}=${value}`).join("; ") },
    });
    for (const line of reply.headers.getSetCookie()) {
      const [pair = ""] = line.split(";");
      cookies.set(pair.slice(0, pair.indexOf("=")), pair.slice(pair.indexOf("=") + 1));
    }
    const to = reply.headers.get("location");
    if (!to) throw new Error(`the provider shows a page at ${at}: ${reply.status} ${await reply.text()}`);
    at = new URL(to, at).href;
    if (!at.startsWith(issuer)) return at;
  }
  throw new Error("the provider sends in circles");
}
