import { existsSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { Worker } from "node:worker_threads";
import { AppError } from "../core/app-error.ts";
import type { PlanStep } from "../dispatch/routes/plan-options.ts";
import type { PlannedRoutes } from "../dispatch/routes/plan-routes.ts";
import type { RouteInstance, Routes } from "../dispatch/routes/route-instance.ts";

/** What a planning thread is given. */
export interface PlanTask {
  instance: RouteInstance;
  start: Routes | null;
  seed: string;
  effort: number;
  /** One int32, 1 to stop. */
  stop: SharedArrayBuffer;
}

/** What it says, the last word being `done`. */
export type PlanWord =
  | { kind: "better"; routes: Routes; value: number }
  | { kind: "bound"; bound: number }
  | { kind: "step"; step: PlanStep }
  | { kind: "done"; found: PlannedRoutes };

export interface PlanAsk {
  instance: RouteInstance;
  seed: string;
  effort: number;
  start?: Routes | null;
  /** Asked now and then; true ends the search with the best so far. */
  stopped?: (() => boolean) | undefined;
  /** Told of each better plan and each lower bound. */
  onWord?: ((word: Exclude<PlanWord, { kind: "done" }>) => void) | undefined;
}

/** Plans that a process works on at once, and that may wait for it. */
const AT_ONCE = 1;
const MOST_WAITING = 4;
const ASK_MS = 100;

// Beside this file; where the server has been bundled, under the folder it runs in.
const BESIDE = path.join(path.dirname(fileURLToPath(import.meta.url)), "plan-thread-start.mjs");
const MAIN = existsSync(BESIDE) ? BESIDE : path.join(process.cwd(), "lib/jobs/plan-thread-start.mjs");

const turns = globalThis as { raintripPlans?: { running: number; waiting: (() => void)[] } };

/**
 * Plan in a thread of its own, one at a time. The same instance, seed and effort give the same plan, unless it is
 * stopped, which keeps the best so far.
 * @throws AppError `busy` when too many wait already
 */
export async function planInThread(ask: PlanAsk): Promise<PlannedRoutes> {
  turns.raintripPlans ??= { running: 0, waiting: [] };
  const line = turns.raintripPlans;
  if (line.running >= AT_ONCE) {
    if (line.waiting.length >= MOST_WAITING)
      throw new AppError("busy", { message: "Several plans are being made. Try again in a little while." });
    await new Promise<void>((turn) => line.waiting.push(turn));
  } else line.running++;
  try {
    return await inThread(ask);
  } finally {
    const next = line.waiting.shift();
    if (next) next();
    else line.running--;
  }
}

function inThread({ instance, seed, effort, start = null, stopped, onWord }: PlanAsk): Promise<PlannedRoutes> {
  const stop = new SharedArrayBuffer(4);
  const task: PlanTask = { instance, start, seed, effort, stop };
  const thread = new Worker(MAIN, { workerData: task, execArgv: [] });
  const timer = setInterval(() => {
    if (stopped?.()) Atomics.store(new Int32Array(stop), 0, 1);
  }, ASK_MS);
  return new Promise<PlannedRoutes>((resolve, reject) => {
    thread.on("message", (word: PlanWord) => {
      if (word.kind === "done") resolve(word.found);
      else onWord?.(word);
    });
    thread.on("error", reject);
    thread.on("exit", () => reject(new Error("The planning thread ended without a plan")));
  }).finally(async () => {
    clearInterval(timer);
    await thread.terminate();
  });
}
