import { parentPort, workerData } from "node:worker_threads";
import { seededRng } from "../core/random.ts";
import { planEffort } from "../dispatch/routes/plan-effort.ts";
import { planRoutes } from "../dispatch/routes/plan-routes.ts";
import { HighsSolver } from "./highs-solver.ts";
import type { PlanTask, PlanWord } from "./plan-thread.ts";

// The search keeps its thread busy for as long as it takes, which is why it has one of its own.
const { instance, start, seed, effort, stop } = workerData as PlanTask;
const flag = new Int32Array(stop);
const say = (word: PlanWord) => parentPort?.postMessage(word);
const solver = new HighsSolver();
const TELL_MS = 200;
let told = 0;
try {
  const found = await planRoutes(instance, {
    ...planEffort(effort),
    rng: seededRng(seed),
    start,
    solver,
    stopped: () => Atomics.load(flag, 0) === 1,
    onBetter: (routes, value) => say({ kind: "better", routes, value }),
    onBound: (bound) => say({ kind: "bound", bound }),
    onStep: (step) => {
      const now = performance.now();
      if (step.done > 0 && now - told < TELL_MS) return;
      told = now;
      say({ kind: "step", step });
    },
  });
  say({ kind: "done", found });
} finally {
  await solver.close();
}
