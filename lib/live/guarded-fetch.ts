import http from "node:http";
import https from "node:https";
import { publicLookup, refusePrivateHost } from "./public-address.ts";

const LOOPBACK = new Set(["127.0.0.1", "[::1]", "localhost"]);

/** Whether an address is of this very machine by its name. */
export const isLoopback = (url: URL): boolean => LOOPBACK.has(url.hostname);

export interface GuardedOptions {
  method?: string | undefined;
  headers?: ConstructorParameters<typeof Headers>[0];
  body?: unknown;
}

export interface GuardedLimits {
  timeoutMs: number;
  maxBytes: number;
}

/**
 * A `fetch` for a service that an operator named and whose answers name further addresses. The operator's own host may lie
 * in any network; every other has to be public, whatever its name resolves to. Redirects come back as they are, a slow or
 * large answer is given up. Plain `http:` goes to this machine only, and only when the named service is there too.
 * @throws PrivateAddress, or the error of the connection
 */
export function guardedFetch(own: URL, { timeoutMs, maxBytes }: GuardedLimits) {
  return (address: string, { method = "GET", headers, body }: GuardedOptions = {}): Promise<Response> => {
    const url = new URL(address);
    const isOwn = url.hostname === own.hostname;
    const isPlainAtHome = url.protocol === "http:" && isOwn && isLoopback(own);
    if (url.protocol !== "https:" && !isPlainAtHome)
      return Promise.reject(new TypeError(`${url.origin} is not asked: it does not begin with https:`));
    return new Promise((resolve, reject) => {
      if (!isOwn) refusePrivateHost(url.hostname);
      const text = body === undefined || body === null ? null : String(body);
      const { request } = isPlainAtHome ? http : https;
      const asked = request(
        url,
        {
          method,
          agent: false,
          signal: AbortSignal.timeout(timeoutMs),
          ...(isOwn ? {} : { lookup: publicLookup }),
          headers: {
            ...Object.fromEntries(new Headers(headers)),
            ...(text === null ? {} : { "content-length": String(Buffer.byteLength(text)) }),
          },
        },
        (answer) => {
          const parts: Buffer[] = [];
          let bytes = 0;
          answer.on("data", (part: Buffer) => {
            bytes += part.length;
            if (bytes > maxBytes) answer.destroy(new Error(`the answer is larger than ${maxBytes} bytes`));
            else parts.push(part);
          });
          answer.on("error", reject);
          answer.on("end", () => {
            const status = answer.statusCode ?? 0;
            const empty = status === 204 || status === 304;
            const given = Object.entries(answer.headers).flatMap(([name, value]) =>
              [value ?? []].flat().map((one): [string, string] => [name, one]),
            );
            resolve(new Response(empty ? null : Buffer.concat(parts), { status, headers: given }));
          });
        },
      );
      asked.on("error", reject);
      asked.end(text ?? undefined);
    });
  };
}
