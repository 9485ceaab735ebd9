import { createHmac } from "node:crypto";
import http from "node:http";
import https from "node:https";
import { PrivateAddress, publicLookup, refusePrivateHost } from "./public-address.ts";

export type Delivery =
  | { ok: true; says: string }
  /** `final`: trying again cannot help. */
  | { ok: false; says: string; final: boolean };

export interface WebhookCall {
  url: string;
  secret: string;
  noticeId: string;
  body: string;
  /** Seconds since the epoch; part of what is signed, so that an old call cannot be sent again later. */
  timestamp: number;
}

export interface WebhookLimits {
  allowPrivate: boolean;
  timeoutMs?: number;
}

const TIMEOUT_MS = 10_000;

/** Signature of a webhook: HMAC-SHA256 over timestamp, a full stop and the body, as lower-case hex. */
export const webhookSignature = (secret: string, timestamp: number, body: string): string =>
  createHmac("sha256", secret).update(`${timestamp}.${body}`).digest("hex");

/** Why an address cannot be a webhook; null when it can. */
export function webhookRefusal(address: string, allowPrivate: boolean): string | null {
  const url = URL.canParse(address) ? new URL(address) : null;
  if (!url) return "That is no address.";
  if (url.protocol !== "https:" && !(allowPrivate && url.protocol === "http:")) return "A webhook begins with https:.";
  if (url.username !== "" || url.password !== "") return "A webhook holds no user name or password; calls are signed.";
  if (allowPrivate) return null;
  try {
    refusePrivateHost(url.hostname);
  } catch {
    return "That address is of a private network or of this host.";
  }
  return /(^|\.)localhost$/i.test(url.hostname) ? "That address is of a private network or of this host." : null;
}

/**
 * Call a webhook once. A redirect is not followed, a private network not entered, a slow answer not waited for, and of the
 * answer only the status counts.
 */
export async function sendWebhook(
  call: WebhookCall,
  { allowPrivate, timeoutMs = TIMEOUT_MS }: WebhookLimits,
): Promise<Delivery> {
  const refused = webhookRefusal(call.url, allowPrivate);
  if (refused !== null) return { ok: false, says: refused, final: true };
  try {
    const status = await post(call, allowPrivate, timeoutMs);
    if (status >= 200 && status < 300) return { ok: true, says: `answered ${status}` };
    if (status >= 300 && status < 400)
      return { ok: false, says: `answered ${status}, a redirect, which is not followed`, final: false };
    return { ok: false, says: `answered ${status}`, final: status === 410 };
  } catch (error) {
    if (error instanceof PrivateAddress) return { ok: false, says: error.message, final: true };
    if (!(error instanceof Error)) throw error;
    const slow = error.name === "TimeoutError" || error.name === "AbortError";
    return {
      ok: false,
      says: slow ? `no answer in ${timeoutMs / 1000} s` : `the connection failed (${codeOf(error)})`,
      final: false,
    };
  }
}

const codeOf = (error: Error) => (error as NodeJS.ErrnoException).code ?? error.name;

function post(
  { url, secret, noticeId, body, timestamp }: WebhookCall,
  allowPrivate: boolean,
  timeoutMs: number,
): Promise<number> {
  const { request } = new URL(url).protocol === "https:" ? https : http;
  const options = {
    method: "POST",
    agent: false as const,
    signal: AbortSignal.timeout(timeoutMs),
    ...(allowPrivate ? {} : { lookup: publicLookup }),
    headers: {
      "content-type": "application/json",
      "content-length": Buffer.byteLength(body),
      "user-agent": "Raintrip",
      "raintrip-notice": noticeId,
      "raintrip-timestamp": String(timestamp),
      "raintrip-signature": `v1=${webhookSignature(secret, timestamp, body)}`,
    },
  };
  return new Promise((resolve, reject) => {
    const asked = request(url, options, (answer) => {
      resolve(answer.statusCode ?? 0);
      // What the answer says beyond its status is of no use here.
      answer.destroy();
    });
    asked.on("error", reject);
    asked.end(body);
  });
}
