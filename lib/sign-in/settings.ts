import { randomBytes } from "node:crypto";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { AppError } from "../core/app-error.ts";
import { isLoopback } from "../live/guarded-fetch.ts";
import { ensureDataFolder } from "../store/data-folder.ts";

export interface IdentityProvider {
  /** As the sign-in page names it. */
  name: string;
  issuer: string;
  clientId: string;
  clientSecret: string;
}

export interface SignInSettings {
  /** Address under which people reach this installation. */
  url: URL;
  /** Signs cookies. */
  secret: string;
  provider: IdentityProvider | null;
  /** Whether demo people may be acted as. */
  demoAllowed: boolean;
}

const LOOPBACK = new Set(["127.0.0.1", "::1", "localhost"]);
const DEFAULT_PORT = 4710;

/** Interface that the web server listens on. */
export const listenHost = (env = process.env): string => env.RAINTRIP_LISTEN || "127.0.0.1";
export const listensBeyondLoopback = (env = process.env): boolean => !LOOPBACK.has(listenHost(env));

/** What the environment says of signing in. @throws AppError `wrong_use` with what to set */
export function signInSettings(env = process.env): SignInSettings {
  const beyond = listensBeyondLoopback(env);
  const given = env.RAINTRIP_URL;
  if (beyond && !given)
    throw new AppError("wrong_use", {
      message:
        "RAINTRIP_LISTEN opens this server to other machines: set RAINTRIP_URL to the address under which people reach it, as https://raintrip.example.",
    });
  if (given && !URL.canParse(given))
    throw new AppError("wrong_use", { message: `RAINTRIP_URL is no address: "${given}".` });
  return {
    url: new URL(given || `http://localhost:${env.PORT || DEFAULT_PORT}`),
    secret: env.RAINTRIP_SECRET || keptSecret(),
    provider: provider(env),
    demoAllowed: !beyond || env.RAINTRIP_DEMO_USERS === "allow",
  };
}

/** Without RAINTRIP_SECRET, one of this data folder's own: made once, readable by its owner alone. */
function keptSecret(): string {
  const file = path.join(ensureDataFolder(), "secret");
  if (!existsSync(file)) {
    try {
      writeFileSync(file, randomBytes(48).toString("base64url"), { mode: 0o600, flag: "wx" });
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw error; // another process made it first
    }
  }
  return readFileSync(file, "utf8");
}

function provider(env: NodeJS.ProcessEnv): IdentityProvider | null {
  const { RAINTRIP_OIDC_ISSUER: issuer, RAINTRIP_OIDC_CLIENT_ID: clientId } = env;
  if (!issuer && !clientId) return null;
  const clientSecret = env.RAINTRIP_OIDC_CLIENT_SECRET;
  if (!issuer || !clientId || !clientSecret)
    throw new AppError("wrong_use", {
      message:
        "Signing in by an identity provider needs RAINTRIP_OIDC_ISSUER, RAINTRIP_OIDC_CLIENT_ID and RAINTRIP_OIDC_CLIENT_SECRET.",
    });
  const refused = issuerRefusal(issuer);
  if (refused) throw new AppError("wrong_use", { message: `RAINTRIP_OIDC_ISSUER ${refused}` });
  return { issuer, clientId, clientSecret, name: env.RAINTRIP_OIDC_NAME || "your organisation" };
}

/**
 * Why an address cannot be an issuer's (OpenID Connect Discovery 1.0, section 3: https, no query, no fragment), or null.
 * Plain http is taken of this machine only, where nobody listens in between.
 */
export function issuerRefusal(issuer: string): string | null {
  const url = URL.canParse(issuer) ? new URL(issuer) : null;
  if (!url) return `is no address: "${issuer}".`;
  if (url.username || url.password) return "holds a user name or password. Give the issuer's address alone.";
  if (url.search || url.hash) return "has a query or fragment. Give the issuer's address alone.";
  if (url.protocol === "https:" || (url.protocol === "http:" && isLoopback(url))) return null;
  return "has to begin with https:.";
}

/** Cookies go by host, not by port: two installations on one machine must not sign each other out. */
export const cookiePrefix = (url: URL): string => `raintrip${url.port ? `-${url.port}` : ""}`;
export const sessionCookie = (url: URL): string =>
  `${url.protocol === "https:" ? "__Secure-" : ""}${cookiePrefix(url)}.session_token`;
