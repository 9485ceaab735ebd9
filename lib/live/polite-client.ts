import type { Instant } from "../core/records.ts";
import { eitherSignal } from "./either-signal.ts";
import { FeedError } from "./feed-error.ts";
import type { FeedSettings } from "./feed-settings.ts";
import { fromNetwork } from "./from-network.ts";
import { dropBody, OversizedAnswer, readJson } from "./read-body.ts";
import { redirectTarget } from "./redirect-target.ts";

/** What the outside gives; tests give their own, so that none sleeps. */
export interface Outside {
  fetch: (url: string, init: RequestInit) => Promise<Response>;
  now: () => Instant;
  sleep: (ms: number, signal: AbortSignal) => Promise<void>;
  /** 0 to 1. */
  random: () => number;
  /** A signal that aborts after so long. */
  timeout: (ms: number) => AbortSignal;
}

/** What the service gave to recognise an answer by. */
export interface Validators {
  etag?: string | undefined;
  lastModified?: string | undefined;
}

export type Answer =
  | { kind: "body"; json: unknown; validators: Validators }
  | { kind: "unchanged" }
  /** 404 or 410. */
  | { kind: "absent" };

export const CLIENT_LIMITS = {
  /** Least time between the starts of two requests. */
  gapMs: 300,
  timeoutMs: 20_000,
  maxBytes: 8_000_000,
  /** Tries of one request. */
  tries: 4,
  backoffMs: 1_000,
  /** Longer than this is not waited for: the run ends and a later one goes on. */
  longestWaitMs: 60_000,
  /** A pause asked for is kept for so long at most, so that a mistake of the service does not end the feed for good. */
  longestPauseMs: 7 * 24 * 3_600_000,
  redirects: 3,
} as const;

const AGAIN = new Set([408, 425, 429, 500, 502, 503, 504]);
const MOVED = new Set([301, 302, 303, 307, 308]);

/**
 * Asks one service, gently: one request at a time with a gap between, a cap on the whole run, conditional where
 * something is held, backing off as told or ever longer. It never leaves the configured address, neither by a
 * redirect nor by an address inside an answer: same origin, and under its path.
 */
export class PoliteClient {
  requests = 0;
  readonly #settings: FeedSettings;
  readonly #outside: Outside;
  readonly #signal: AbortSignal;
  #cap: number;
  #notBefore: Instant = Number.NEGATIVE_INFINITY;

  constructor(settings: FeedSettings, outside: Outside, signal: AbortSignal) {
    this.#settings = settings;
    this.#outside = outside;
    this.#signal = signal;
    this.#cap = settings.runCap;
  }

  /** Lower the cap for a part of the run, or put it back. */
  set cap(requests: number) {
    this.#cap = Math.min(requests, this.#settings.runCap);
  }

  /**
   * @param path from the base address on, with a leading slash and its parts already encoded
   * @throws FeedError
   */
  async get(path: string, validators: Validators = {}): Promise<Answer> {
    if (!path.startsWith("/") || path.includes("..")) throw new RangeError(`get requires a plain path, got ${path}`);
    let url = new URL(`${this.#base}${path}`);
    let redirects = 0;
    for (let tried = 1; ; tried++) {
      const done = await this.#once(url, validators).catch((error: unknown) => this.#failure(error));
      if ("answer" in done) return done.answer;
      if ("to" in done) {
        if (++redirects > CLIENT_LIMITS.redirects) throw new FeedError("refused", "the answer leads on and on");
        url = done.to;
        tried--;
        continue;
      }
      if (tried >= CLIENT_LIMITS.tries) {
        if (done.waitMs !== null) this.#holdOff(done.waitMs);
        throw new FeedError(done.kind, `${done.why}, ${tried} times`);
      }
      await this.#wait(done.waitMs ?? this.#backoffMs(tried));
    }
  }

  async #once(url: URL, validators: Validators): Promise<{ answer: Answer } | { to: URL } | Again> {
    this.#stopIfAsked();
    if (this.requests >= this.#cap) throw new FeedError("cap", `the cap of ${this.#cap} requests a run is reached`);
    const gap = this.#notBefore - this.#outside.now();
    if (gap > 0) await this.#wait(gap);
    this.requests++;
    this.#notBefore = this.#outside.now() + CLIENT_LIMITS.gapMs;
    const headers = this.#headers(validators);
    const { signal, release } = eitherSignal(this.#signal, this.#outside.timeout(CLIENT_LIMITS.timeoutMs));
    try {
      return await this.#ask(url, { redirect: "manual", signal, headers }, validators);
    } finally {
      release();
    }
  }

  async #ask(
    url: URL,
    request: RequestInit,
    validators: Validators,
  ): Promise<{ answer: Answer } | { to: URL } | Again> {
    const response = await fromNetwork(this.#outside.fetch(url.href, request));
    const { status, headers } = response;
    if (status === 200) {
      const json = await readJson(response, CLIENT_LIMITS.maxBytes);
      return { answer: { kind: "body", json, validators: validatorsOf(headers) } };
    }
    await dropBody(response);
    if (status === 304 && (validators.etag || validators.lastModified)) return { answer: { kind: "unchanged" } };
    if (status === 404 || status === 410) return { answer: { kind: "absent" } };
    if (MOVED.has(status)) return { to: redirectTarget(headers.get("location"), url, this.#base) };
    if (AGAIN.has(status)) {
      const waitMs = this.#asked(headers.get("retry-after"));
      return { kind: "unreachable", why: `it answered ${status}`, waitMs };
    }
    throw new FeedError("refused", `it answered ${status}`);
  }

  /** Put together before the network is asked, so that one which cannot be sent is not taken for a failure of it. */
  #headers({ etag, lastModified }: Validators): Headers {
    return new Headers({
      accept: "application/geo+json, application/json",
      "user-agent": `Raintrip (${this.#settings.contact})`,
      ...(etag ? { "if-none-match": etag } : {}),
      ...(lastModified ? { "if-modified-since": lastModified } : {}),
    });
  }

  /** A broken connection, a time-out or half an answer is worth another try; the rest is final, and faults of ours too. */
  #failure(error: unknown): Again {
    if (error instanceof FeedError || this.#isStop(error)) this.#stopIfAsked();
    if (!(error instanceof FeedError) || error instanceof OversizedAnswer) throw error;
    if (error.kind !== "unreachable" && error.kind !== "bad_answer") throw error;
    return { kind: error.kind, why: error.message, waitMs: null };
  }

  /** What is thrown because the run was stopped: the reason given for it, or a timer's word that it was. */
  #isStop(error: unknown): boolean {
    if (!this.#signal.aborted) return false;
    return error === this.#signal.reason || (error instanceof Error && error.name === "AbortError");
  }

  /** Origin and path that every request stays under; without a slash at its end. */
  get #base(): string {
    const { origin, pathname } = this.#settings.baseUrl;
    return `${origin}${pathname.replace(/\/+$/, "")}`;
  }

  /** Retry-After in seconds or as a date (RFC 9110, 10.2.3), with a little more so that not all come back at once. */
  #asked(header: string | null): number | null {
    if (header === null) return null;
    const text = header.trim();
    const ms = /^\d+$/.test(text) ? Number(text) * 1000 : Date.parse(text) - this.#outside.now();
    return Number.isFinite(ms) && ms >= 0 ? ms * (1 + this.#outside.random() * 0.1) : null;
  }

  /** Twice as long each time, half of it by chance. */
  #backoffMs(tried: number): number {
    return CLIENT_LIMITS.backoffMs * 2 ** (tried - 1) * (0.5 + this.#outside.random() * 0.5);
  }

  /** A pause that is asked for holds for the next request as well, whatever that one is for. */
  #holdOff(ms: number): void {
    this.#endIfTooLong(ms);
    this.#notBefore = Math.max(this.#notBefore, this.#outside.now() + ms);
  }

  #endIfTooLong(ms: number): void {
    if (ms <= CLIENT_LIMITS.longestWaitMs) return;
    const until = this.#outside.now() + Math.min(ms, CLIENT_LIMITS.longestPauseMs);
    throw new FeedError("paused", "the service asks for a longer pause", until);
  }

  async #wait(ms: number): Promise<void> {
    this.#endIfTooLong(ms);
    await this.#outside.sleep(ms, this.#signal).catch((error: unknown) => {
      if (!this.#isStop(error)) throw error;
    });
    this.#stopIfAsked();
  }

  #stopIfAsked(): void {
    if (this.#signal.aborted) throw new FeedError("cancelled", "the run was stopped");
  }
}

interface Again {
  /** What it ends as when no try is left. */
  kind: "unreachable" | "bad_answer";
  why: string;
  /** As the service asks; null: as the client sees fit. */
  waitMs: number | null;
}

function validatorsOf(headers: Headers): Validators {
  const short = (name: string) => {
    const value = headers.get(name);
    return value !== null && value.length <= 300 ? value : undefined;
  };
  return { etag: short("etag"), lastModified: short("last-modified") };
}
