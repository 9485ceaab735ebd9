/** What an installation says of an outside service. */
export interface FeedSettings {
  /** Origin and path prefix that every request stays under; ends without a slash. */
  baseUrl: URL;
  /** Where the service can reach the operator; part of the User-Agent. */
  contact: string;
  /** Requests that one run may make. */
  runCap: number;
}

export type FeedConfiguration =
  | { kind: "off" }
  /** Something is set but cannot be used; nothing is fetched then. */
  | { kind: "wrong"; says: string }
  | { kind: "on"; settings: FeedSettings };

const DEFAULT_RUN_CAP = 300;
const MOST_RUN_CAP = 100_000;

const wrong = (says: string): FeedConfiguration => ({ kind: "wrong", says });

/**
 * The service of NAME_URL, NAME_CONTACT and NAME_RUN_CAP, such as RAINTRIP_WEATHER_URL. Without an address nothing is
 * ever fetched.
 * @returns `wrong` with what to mend, for a start must not fail on it
 */
export function feedConfiguration(
  env: Readonly<Record<string, string | undefined>>,
  name = "RAINTRIP_WEATHER",
): FeedConfiguration {
  const address = env[`${name}_URL`]?.trim() ?? "";
  if (address === "") return { kind: "off" };
  const baseUrl = parsedUrl(address);
  if (!baseUrl) return wrong(`${name}_URL is not an address`);
  if (baseUrl.username !== "" || baseUrl.password !== "" || baseUrl.search !== "" || baseUrl.hash !== "")
    return wrong(`${name}_URL must hold no user name, password, query or fragment`);
  if (baseUrl.protocol !== "https:" && !(baseUrl.protocol === "http:" && isLoopback(baseUrl.hostname)))
    return wrong(`${name}_URL must begin with https: (http: only on this machine)`);
  const contact = env[`${name}_CONTACT`]?.trim() ?? "";
  if (!/^[\x21-\x7e]{3,200}$/.test(contact))
    return wrong(`${name}_CONTACT is missing: an e-mail or web address, so that the service can reach you`);
  const cap = env[`${name}_RUN_CAP`]?.trim() || String(DEFAULT_RUN_CAP);
  const runCap = /^\d+$/.test(cap) ? Number(cap) : 0;
  if (runCap < 1 || runCap > MOST_RUN_CAP) return wrong(`${name}_RUN_CAP is a number from 1 to ${MOST_RUN_CAP}`);
  baseUrl.pathname = baseUrl.pathname.replace(/\/+$/, "");
  return { kind: "on", settings: { baseUrl, contact, runCap } };
}

function parsedUrl(text: string): URL | null {
  try {
    return new URL(text);
  } catch {
    return null;
  }
}

const isLoopback = (host: string) => host === "localhost" || host === "[::1]" || /^127(\.\d{1,3}){3}$/.test(host);
