import { existsSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { Worker } from "node:worker_threads";
import { z } from "zod";
import type {
  ChoiceLimits,
  Column,
  PackingDuals,
  PackingModel,
  SetPacking,
  SetPackingSolver,
} from "../dispatch/routes/set-packing.ts";

const Reply = z.object({ id: z.number(), answer: z.unknown() });
const Duals = z.object({ value: z.number(), stops: z.array(z.number()), days: z.array(z.number()) }).nullable();
const Chosen = z.array(z.number().int()).nullable();

/** How often a running choice is asked whether it should end. */
const ASK_MS = 200;

// Beside this file; where the server has been bundled, under the folder it runs in.
const BESIDE = path.join(path.dirname(fileURLToPath(import.meta.url)), "highs-worker.mjs");
const WORKER = existsSync(BESIDE) ? BESIDE : path.join(process.cwd(), "lib/jobs/highs-worker.mjs");

/** HiGHS in a thread of its own, behind the planner's face for solvers. Close it when done. */
export class HighsSolver implements SetPackingSolver {
  private readonly worker = new Worker(WORKER);
  private readonly waiting = new Map<number, (answer: unknown) => void>();
  private next = 0;

  constructor() {
    this.worker.on("message", (message: unknown) => {
      const reply = Reply.parse(message);
      this.settle(reply.id, reply.answer);
    });
    const gone = () => {
      for (const id of [...this.waiting.keys()]) this.settle(id, null);
    };
    this.worker.on("error", gone);
    this.worker.on("exit", gone);
  }

  open(problem: SetPacking): PackingModel {
    const model = this.next++;
    void this.ask("open", { model, problem });
    return {
      add: (columns: readonly Column[]) => void this.ask("add", { model, columns }),
      relax: async (): Promise<PackingDuals | null> => Duals.parse((await this.ask("relax", { model })) ?? null),
      choose: ({ stopped, ...limits }: ChoiceLimits) => this.choose({ model, ...limits }, stopped),
      close: () => void this.ask("close", { model }),
    };
  }

  async close(): Promise<void> {
    await this.worker.terminate();
  }

  private async choose(task: object, stopped?: () => boolean): Promise<number[] | null> {
    const stop = new SharedArrayBuffer(4);
    const timer = setInterval(() => {
      if (stopped?.()) Atomics.store(new Int32Array(stop), 0, 1);
    }, ASK_MS);
    try {
      return Chosen.parse((await this.ask("choose", { ...task, stop })) ?? null);
    } finally {
      clearInterval(timer);
    }
  }

  private ask(task: string, given: object): Promise<unknown> {
    const id = this.next++;
    return new Promise((resolve) => {
      this.waiting.set(id, resolve);
      this.worker.postMessage({ id, task, ...given });
    });
  }

  private settle(id: number, answer: unknown): void {
    this.waiting.get(id)?.(answer);
    this.waiting.delete(id);
  }
}
