/** What an installation says of its weather service. */
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
 * The weather service of RAINTRIP_WEATHER_URL, RAINTRIP_WEATHER_CONTACT and RAINTRIP_WEATHER_RUN_CAP. Without an
 * address nothing is ever fetched.
 * @returns `wrong` with what to mend, for a start must not fail on it
 */
export function feedConfiguration(env: Readonly<Record<string, string | undefined>>): FeedConfiguration {
  const address = env.RAINTRIP_WEATHER_URL?.trim() ?? "";
  if (address === "") return { kind: "off" };
  const baseUrl = parsedUrl(address);
  if (!baseUrl) return wrong("RAINTRIP_WEATHER_URL is not an address");
  if (baseUrl.username !== "" || baseUrl.password !== "" || baseUrl.search !== "" || baseUrl.hash !== "")
    return wrong("RAINTRIP_WEATHER_URL must hold no user name, password, query or fragment");
  if (baseUrl.protocol !== "https:" && !(baseUrl.protocol === "http:" && isLoopback(baseUrl.hostname)))
    return wrong("RAINTRIP_WEATHER_URL must begin with https: (http: only on this machine)");
  const contact = env.RAINTRIP_WEATHER_CONTACT?.trim() ?? "";
  if (!/^[\x21-\x7e]{3,200}$/.test(contact))
    return wrong("RAINTRIP_WEATHER_CONTACT is missing: an e-mail or web address, so that the service can reach you");
  const cap = env.RAINTRIP_WEATHER_RUN_CAP?.trim() || String(DEFAULT_RUN_CAP);
  const runCap = /^\d+$/.test(cap) ? Number(cap) : 0;
  if (runCap < 1 || runCap > MOST_RUN_CAP)
    return wrong(`RAINTRIP_WEATHER_RUN_CAP is a number from 1 to ${MOST_RUN_CAP}`);
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
