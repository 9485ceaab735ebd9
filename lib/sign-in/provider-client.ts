import * as oidc from "openid-client";
import { guardedFetch, isLoopback } from "../live/guarded-fetch.ts";
import type { IdentityProvider } from "./settings.ts";

/** An identity provider is a page away from a person who waits. */
const TIMEOUT_MS = 8_000;
const MAX_BYTES = 512 * 1024;
/** What a provider says of itself is asked for again after this, so that new keys and addresses are met. */
const FRESH_MS = 3_600_000;

/** What ties an answer of the provider to the browser that was sent there. */
export interface ProviderChallenge {
  state: string;
  nonce: string;
  verifier: string;
}

/** Who somebody is in the words of the provider. */
export interface ProvidedIdentity {
  /** Issuer and subject: another issuer's subjects are other people. */
  subject: string;
  email: string | null;
  /** Only what the provider says it has verified may be compared with ours. */
  emailVerified: boolean;
}

/** The provider did not answer, or not as a provider does. */
export class ProviderUnreachable extends Error {}
/** The provider answered, and what it sent does not prove who somebody is. */
export class NotProven extends Error {}

/** Sign-in by OpenID Connect: authorization code with PKCE, nonce, and an ID token whose signature is checked. */
export class ProviderClient {
  #config: { made: Promise<oidc.Configuration>; at: number } | null = null;

  constructor(
    private readonly provider: IdentityProvider,
    private readonly redirectUri: string,
    private readonly timeoutMs = TIMEOUT_MS,
  ) {}

  /** Where to send a browser. @throws ProviderUnreachable */
  async begin(): Promise<{ url: string; challenge: ProviderChallenge }> {
    const config = await this.#configuration();
    const challenge = {
      state: oidc.randomState(),
      nonce: oidc.randomNonce(),
      verifier: oidc.randomPKCECodeVerifier(),
    };
    const asks = {
      redirect_uri: this.redirectUri,
      scope: "openid email profile",
      response_type: "code",
      state: challenge.state,
      nonce: challenge.nonce,
      code_challenge: await oidc.calculatePKCECodeChallenge(challenge.verifier),
      code_challenge_method: "S256",
    };
    try {
      return { url: oidc.buildAuthorizationUrl(config, asks).href, challenge };
    } catch (error) {
      // Its sign-in page has no address that a browser could be sent to.
      throw new ProviderUnreachable(reason(error));
    }
  }

  /**
   * Who the browser that came back is.
   * @param query as it came back
   * @throws ProviderUnreachable, NotProven
   */
  async finish(query: URLSearchParams, challenge: ProviderChallenge): Promise<ProvidedIdentity> {
    const config = await this.#configuration();
    try {
      const tokens = await oidc.authorizationCodeGrant(config, new URL(`${this.redirectUri}?${query}`), {
        expectedState: challenge.state,
        expectedNonce: challenge.nonce,
        pkceCodeVerifier: challenge.verifier,
        idTokenExpected: true,
      });
      const claims = tokens.claims();
      if (!claims) throw new NotProven("there is no ID token");
      // Many providers keep the address out of the token; asked for, it has to be of the same subject.
      const told =
        claims.email === undefined && config.serverMetadata().userinfo_endpoint
          ? await oidc.fetchUserInfo(config, tokens.access_token, claims.sub)
          : claims;
      return {
        subject: `${claims.iss} ${claims.sub}`,
        email: typeof told.email === "string" ? told.email.trim().toLowerCase() : null,
        emailVerified: told.email_verified === true || (told.email_verified as unknown) === "true",
      };
    } catch (error) {
      throw unreachable(error) ?? new NotProven(reason(error));
    }
  }

  async #configuration(): Promise<oidc.Configuration> {
    if (this.#config && Date.now() - this.#config.at < FRESH_MS) return this.#config.made;
    const held = { made: this.#discover(), at: Date.now() };
    this.#config = held;
    try {
      return await held.made;
    } catch (error) {
      // Asked again the next time: a provider that is down must not stay unknown.
      if (this.#config === held) this.#config = null;
      throw new ProviderUnreachable(reason(error));
    }
  }

  async #discover(): Promise<oidc.Configuration> {
    const { issuer, clientId, clientSecret } = this.provider;
    const server = new URL(issuer);
    const ask = guardedFetch(server, { timeoutMs: this.timeoutMs, maxBytes: MAX_BYTES });
    const options = {
      [oidc.customFetch]: ask as oidc.CustomFetch,
      timeout: Math.ceil(this.timeoutMs / 1000) + 1,
      execute: [oidc.enableNonRepudiationChecks, ...(isLoopback(server) ? [oidc.allowInsecureRequests] : [])],
    };
    const auth = (as: oidc.ServerMetadata, ...rest: unknown[]) => {
      const methods = as.token_endpoint_auth_methods_supported;
      const byBody = methods && !methods.includes("client_secret_basic");
      const method = byBody ? oidc.ClientSecretPost(clientSecret) : oidc.ClientSecretBasic(clientSecret);
      return (method as (...args: unknown[]) => void)(as, ...rest);
    };
    return oidc.discovery(server, clientId, {}, auth as oidc.ClientAuth, options);
  }
}

/** What went wrong, with what it was caused by; never what was sent, which holds codes and tokens. */
function reason(error: unknown): string {
  const words: string[] = [];
  for (let at = error; at instanceof Error && words.length < 4; at = at.cause) {
    // As "invalid_client", which says that id or secret is wrong.
    const told = at instanceof oidc.ResponseBodyError ? ` (${at.error} ${at.error_description ?? ""})` : "";
    words.push((at.message || at.name) + told);
  }
  return words.join(": ").slice(0, 400);
}

function unreachable(error: unknown): ProviderUnreachable | null {
  for (let at = error; at instanceof Error; at = at.cause) {
    const code = (at as NodeJS.ErrnoException).code ?? "";
    if (/^(E[A-Z_]{4,}|CERT_|UND_|OAUTH_TIMEOUT)/.test(code) || at.name === "TimeoutError" || at.name === "AbortError")
      return new ProviderUnreachable(reason(error));
  }
  return null;
}
