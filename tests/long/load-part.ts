import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { integerBelow, type Rng, seededRng } from "../../lib/core/random.ts";
import { DEMO } from "../../seed/world.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { pick } from "../fuzz/draw.ts";
import { carryOut } from "./kill-work.ts";
import type { LongPart, PartState } from "./part.ts";
import { Serving } from "./serving.ts";

export interface LoadSize {
  seconds: number;
  users: number;
  sites: number;
  /** Requests that the server has inside at once, waiting ones too. */
  mostRequests: number;
  /** A person looks at a page before going on: mean time, ms. */
  thinkMs: number;
}

const SLICE_S = 30;
const IMPORT_EVERY_MS = 8_000;
const BURST = 400;
const READY_WITHIN_MS = 30_000;

interface Bench {
  serving: Serving;
  folder: string;
  siteIds: string[];
}

/** People on pages and programs on the API, all at once, while files are imported and scores computed. */
export function loadPart(size: LoadSize, name = "load"): LongPart {
  let bench: Bench | null = null;
  return {
    name,
    total: size.seconds,
    unit: "s",
    async slice(state, context) {
      bench ??= await setUp(size);
      const { serving, siteIds } = bench;
      const seconds = Math.min(SLICE_S, size.seconds - state.done);
      const rng = seededRng(`${context.seed}/${name}/${state.done}`);
      const end = Date.now() + seconds * 1000;
      const tally = new Tally(state, context.fail);
      const users = Array.from({ length: size.users }, (_, i) =>
        user(
          { serving, siteIds, thinkMs: size.thinkMs },
          seededRng(`${context.seed}/${name}/${state.done}/${i}`),
          end,
          tally,
        ),
      );
      await Promise.all([
        ...users,
        importing(serving, siteIds, rng, end, tally),
        watching(serving, end, tally, state.done),
      ]);
      state.done += seconds;
      if (state.done >= size.seconds) await overload(serving, tally, context.fail);
    },
    says: (state) => sentence(state, size),
    close: async () => {
      await bench?.serving.stop();
      if (bench) rmSync(bench.folder, { recursive: true, force: true });
    },
  };
}

async function setUp({ sites, mostRequests }: LoadSize): Promise<Bench> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-load-"));
  const world = await writeDemoDrop(path.join(folder, "drop"), { ...DEMO, seed: "load", sites });
  const serving = new Serving({ RAINTRIP_MOST_REQUESTS: String(mostRequests) });
  await serving.start();
  try {
    // Of a large fleet by the command: the worker yields to whatever else this machine does, for as long as that takes.
    if (sites > 200) await serving.command("import", path.join(folder, "drop"));
    else await carryOut(serving, "import", path.join(folder, "drop"));
    // Of a large fleet not all scores are awaited: people look at it while it is being computed.
    if (sites <= 200) await carryOut(serving, "score", "");
  } catch (error) {
    await serving.stop();
    throw error;
  }
  return { serving, folder, siteIds: world.sites.map((site) => site.siteId) };
}

/** Times in buckets of a tenth of a decade, so that slices add up. */
const bucketOf = (ms: number) => Math.max(0, Math.ceil(10 * Math.log10(Math.max(1, ms))));
const upperMs = (bucket: number) => Math.round(10 ** (bucket / 10));

class Tally {
  /** Whether scores were being computed when it was last looked. */
  scoring = false;

  constructor(
    private readonly state: PartState,
    private readonly fail: (says: string) => void,
  ) {}

  add(name: string, n = 1): void {
    this.state.figures[name] = (this.state.figures[name] ?? 0) + n;
  }

  most(name: string, n: number): void {
    this.state.figures[name] = Math.max(this.state.figures[name] ?? 0, n);
  }

  set(name: string, n: number): void {
    this.state.figures[name] = n;
  }

  answered(kind: string, ms: number): void {
    this.add(`${kind} answers`);
    this.add(`${kind} ms ${bucketOf(ms)}`);
  }

  wrong(says: string): void {
    this.add("errors");
    this.fail(says);
  }
}

/** A page, and its address with the site in it. */
const PAGES: readonly (readonly [string, (site: string) => string])[] = [
  ["/sites", () => "/sites"],
  ["/sites by urgency", () => "/sites?urgency=urgent"],
  ["/sites by search", (site) => `/sites?search=${site}`],
  ["/sites/ID", (site) => `/sites/${site}`],
  ["/sites/ID", (site) => `/sites/${site}`],
  ["/visits", () => "/visits"],
  ["/imports", () => "/imports"],
  ["/system", () => "/system"],
  ["time line", (site) => `/api/pages/sites/${site}/timeline`],
];

/** Ask once. 503 with a time to come back is an answer; anything else from 500 on is an error. */
async function ask(serving: Serving, page: string, at: string, tally: Tally): Promise<void> {
  const began = performance.now();
  try {
    const reply = await serving.fetch(at, { signal: AbortSignal.timeout(90_000) });
    await reply.arrayBuffer();
    const ms = performance.now() - began;
    if (reply.status === 503) {
      // A site that is not scored yet says so with the same status: that is no matter of load.
      tally.add(/json/.test(reply.headers.get("content-type") ?? "") ? "not scored yet" : "turned away");
      const again = Number(reply.headers.get("retry-after"));
      if (!(again > 0)) tally.wrong(`${at}: 503 without Retry-After`);
      await sleep(1000 * again);
    } else if (reply.status >= 400) tally.wrong(`${at}: ${reply.status}`);
    else {
      tally.answered(at.startsWith("/api") ? "data" : "page", ms);
      tally.answered(page, ms);
      tally.answered(tally.scoring ? "while scoring" : "without scoring", ms);
    }
  } catch (error) {
    tally.wrong(`${at}: ${(error as Error).message}`);
  }
}

interface User {
  serving: Serving;
  siteIds: string[];
  thinkMs: number;
}

async function user({ serving, siteIds, thinkMs }: User, rng: Rng, end: number, tally: Tally): Promise<void> {
  await sleep(integerBelow(rng, Math.max(1000, thinkMs)));
  while (Date.now() < end) {
    const site = pick(rng, siteIds);
    const [page, at] = pick(rng, PAGES);
    await ask(serving, page, at(site), tally);
    await sleep(integerBelow(rng, 2 * thinkMs));
  }
}

/** New alarms and new weather of the same stations all along: what a fleet does to the worker. */
async function importing(serving: Serving, siteIds: string[], rng: Rng, end: number, tally: Tally): Promise<void> {
  while (Date.now() < end) {
    const rows = Array.from({ length: 50 }, () => {
      const at = new Date(Date.UTC(2026, 9, 1 + integerBelow(rng, 28), integerBelow(rng, 24), integerBelow(rng, 60)));
      return `${pick(rng, siteIds)},I1,${at.toISOString()},GROUND_FAULT`;
    });
    const began = performance.now();
    const reply = await serving
      .fetch("/api/v1/imports?file=faults.csv", {
        method: "POST",
        body: `site_id,inverter_id,started_at,code\n${rows.join("\n")}\n`,
        headers: { "content-type": "text/csv" },
      })
      .catch((error: Error) => error);
    if (reply instanceof Error) tally.wrong(`import: ${reply.message}`);
    else if (reply.status === 202) tally.answered("import", performance.now() - began);
    else if (reply.status !== 503) tally.wrong(`import: ${reply.status} ${await reply.text()}`);
    await sleep(Math.min(IMPORT_EVERY_MS, Math.max(0, end - Date.now())));
  }
}

/**
 * Memory of the web server over time, and whether scores are computed. What it holds after its memory was cleared up is what
 * tells a leak from room that nobody has taken back yet.
 * @param doneS seconds of this run before these
 */
async function watching(serving: Serving, end: number, tally: Tally, doneS: number): Promise<void> {
  const began = Date.now();
  while (Date.now() < end) {
    const text = await fetch(`${serving.url}/api/metrics`).then(
      (reply) => reply.text(),
      () => "",
    );
    const value = (name: string) =>
      Number(new RegExp(`^${name}(?:\\{[^}]*\\})? ([0-9.e+]+)$`, "m").exec(text)?.[1] ?? Number.NaN);
    const minute = Math.floor((doneS + (Date.now() - began) / 1000) / 60);
    const mb = Math.round(value("raintrip_process_resident_memory_bytes") / 1e6);
    const heldMb = Math.round(value("raintrip_heap_after_collection_bytes") / 1e6);
    if (mb > 0) {
      tally.most("peak MB", mb);
      tally.set(`MB in minute ${minute}`, mb);
    }
    if (heldMb > 0) tally.set(`MB held in minute ${minute}`, heldMb);
    tally.scoring = /raintrip_jobs\{queue="site.score",state="active"\} [1-9]/.test(text);
    if (tally.scoring) tally.add("looks while scoring");
    await sleep(Math.min(2000, Math.max(0, end - Date.now())));
  }
}

/** More at once than are let in: those beyond are told to come back, nobody gets an error, and the server goes on. */
async function overload(serving: Serving, tally: Tally, fail: (says: string) => void): Promise<void> {
  const replies = await Promise.all(
    Array.from({ length: BURST }, () =>
      serving.fetch("/sites").then(
        async (reply) => {
          await reply.arrayBuffer();
          return { status: reply.status, again: reply.headers.get("retry-after") };
        },
        (error: Error) => ({ status: 0, again: error.message }),
      ),
    ),
  );
  const away = replies.filter((reply) => reply.status === 503);
  tally.add("burst turned away", away.length);
  tally.add("burst answered", replies.filter((reply) => reply.status === 200).length);
  const other = replies.find((reply) => reply.status !== 200 && reply.status !== 503);
  if (other) fail(`of ${BURST} at once one got ${other.status} ${other.again ?? ""}`);
  if (away.some((reply) => !(Number(reply.again) > 0))) fail("a request was turned away without Retry-After");
  if (away.length === 0) fail(`none of ${BURST} at once was turned away`);
  // Under more than it can take it may say that it is not ready, and has to be again by itself.
  const began = Date.now();
  let ready = false;
  while (!ready && Date.now() - began < READY_WITHIN_MS) {
    ready = await fetch(`${serving.url}/api/health/ready`).then(
      (reply) => reply.ok,
      () => false,
    );
    if (!ready) await sleep(500);
  }
  tally.most("s to ready after the burst", Math.round((Date.now() - began) / 1000));
  if (!ready) fail(`the server is not ready ${READY_WITHIN_MS / 1000} s after the burst`);
}

function quantileMs(state: PartState, kind: string, share: number): number {
  const total = state.figures[`${kind} answers`] ?? 0;
  let seen = 0;
  for (let bucket = 0; bucket < 60; bucket++) {
    seen += state.figures[`${kind} ms ${bucket}`] ?? 0;
    if (total > 0 && seen >= share * total) return upperMs(bucket);
  }
  return Number.NaN;
}

/** The figures of each minute, in order. */
function byMinute(state: PartState, name: string): string {
  const minutes = Object.keys(state.figures).flatMap(
    (key) => new RegExp(`^${name} in minute (\\d+)$`).exec(key)?.[1] ?? [],
  );
  return minutes
    .map(Number)
    .sort((a, b) => a - b)
    .map((minute) => state.figures[`${name} in minute ${minute}`])
    .join(", ");
}

function sentence(state: PartState, size: LoadSize): string {
  const f = (name: string) => state.figures[name] ?? 0;
  const times = (kind: string) =>
    `${f(`${kind} answers`)} ${kind} answers, p50 ≤ ${quantileMs(state, kind, 0.5)} ms, p99 ≤ ${quantileMs(state, kind, 0.99)} ms`;
  const short = (kind: string) =>
    `${kind} ${f(`${kind} answers`)}: ${quantileMs(state, kind, 0.5)}, ${quantileMs(state, kind, 0.99)}`;
  return [
    `${size.users} users who look for ${size.thinkMs / 1000} s on average, ${size.sites} sites`,
    times("page"),
    times("data"),
    times("import"),
    `${f("turned away")} turned away, ${f("not scored yet")} told that a site is not scored yet, ${f("errors")} errors`,
    `answers with p50 and p99 in ms: ${[...new Set(PAGES.map(([page]) => page)), "while scoring", "without scoring"].map(short).join("; ")}`,
    `web server by minute: ${byMinute(state, "MB")} MB resident (peak ${f("peak MB")}), ${byMinute(state, "MB held")} MB held after its memory was cleared up`,
    `${f("looks while scoring")} looks while scores were computed`,
    `burst of ${BURST}: ${f("burst answered")} answered, ${f("burst turned away")} turned away, ready again within ${f("s to ready after the burst")} s`,
  ].join("; ");
}
