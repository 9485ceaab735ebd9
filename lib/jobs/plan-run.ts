import { AppError } from "../core/app-error.ts";
import { planInstance } from "../dispatch/routes/plan-instance.ts";
import { gapOf } from "../dispatch/routes/prove-routes.ts";
import type { Routes } from "../dispatch/routes/route-instance.ts";
import { planDocument, planInput } from "../reads/plan.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { keepBestOfStopped, openPlanRuns, type PlanRunState, planRun, savePlanRun } from "../store/plan-run.ts";
import { readTransaction, systemTransaction, writeTransaction } from "../store/transaction.ts";
import { askRoads } from "./ask-roads.ts";
import { runDraft } from "./draft-run.ts";
import { holdingLock } from "./hold-lock.ts";
import { planLockKey } from "./import-lock.ts";
import { planInThread } from "./plan-thread.ts";

/** How often the best so far is written down, and whether somebody stopped the run looked up. */
const TELL_MS = 1_000;

/**
 * Carry out the open plan runs of an account, one after another, unless another process does. A run whose worker died
 * begins anew. One that a person stops keeps the best plan so far; one that ends with its worker stays open.
 * @param beforeDocument done once before the runs of the API, whose plans are of the newest scores
 */
export async function runPlans(
  db: Database,
  actor: Actor,
  signal: AbortSignal,
  beforeDocument: () => Promise<unknown> = async () => {},
): Promise<void> {
  await holdingLock(db, planLockKey(actor.accountId), { waits: false }, async () => {
    let ready = false;
    for (;;) {
      const [runId] = await readTransaction(actor, openPlanRuns, db);
      if (runId === undefined || signal.aborted) return;
      const run = await readTransaction(actor, (tx) => planRun(tx, runId), db);
      // Those that somebody waits for before a page come first and wait for nothing.
      if (run && run.work === null && !ready) {
        await beforeDocument();
        // Without a routing server this asks nobody; one that fails leaves the great circle.
        const roads = await askRoads(db, actor, { signal });
        if (roads.says !== null) console.error(`raintrip roads: ${roads.says}`);
        ready = true;
        continue;
      }
      await carryOut(db, actor, runId, signal);
    }
  });
}

async function carryOut(db: Database, actor: Actor, runId: string, signal: AbortSignal): Promise<void> {
  const run = await readTransaction(actor, (tx) => planRun(tx, runId), db);
  if (!run) return;
  const { work } = run;
  const state: PlanRunState = { status: "running", objective: null, bound: null, plan: null, blind: [], says: null };
  const save = (change: Partial<PlanRunState>) =>
    systemTransaction(actor, (tx) => savePlanRun(tx, runId, Object.assign(state, change)), db);
  const end = (change: Partial<PlanRunState> & { status: "done" | "failed" }) =>
    writeTransaction(
      actor,
      async (tx) => {
        const saved = await savePlanRun(tx, runId, Object.assign(state, change));
        const detail = { status: state.status, objective: state.objective, bound: state.bound };
        return { result: saved, note: saved ? { action: "plan.run", subject: runId, detail } : null };
      },
      db,
    );
  try {
    if (work) return await runDraft(db, actor.accountId, { ...run, work }, signal);
    if (!(await save({}))) return;
    const { asOf, input, blind } = await readTransaction(actor, (tx) => planInput(tx, run.query), db);
    const planned = planInstance(input);
    const document = (routes: Routes, objective: number, bound: number | null) => {
      const gap = gapOf(objective, bound);
      return planDocument(asOf, input, planned, { routes, objective, bound, gap, hazards: { leftOut: 0, most: null } });
    };
    let best: { routes: Routes; value: number } | null = null;
    let bound: number | null = null;
    let stopped = false;
    let told = Promise.resolve();
    const tell = async () => {
      const plan = best ? document(best.routes, best.value, bound) : null;
      stopped ||= !(await save({ objective: best?.value ?? null, bound, plan, blind }));
    };
    const timer = setInterval(() => {
      told = told.then(tell).catch((error: Error) => console.error(`raintrip plan: ${error.message}`));
    }, TELL_MS);
    const found = await planInThread({
      instance: planned.instance,
      seed: String(run.query.seed),
      effort: run.query.effort,
      stopped: () => stopped || signal.aborted,
      onWord: (word) => {
        if (word.kind === "better") best = word;
        else if (word.kind === "bound") bound = word.bound;
      },
    }).finally(() => clearInterval(timer));
    await told;
    const plan = planDocument(asOf, input, planned, found);
    if (stopped) await systemTransaction(actor, (tx) => keepBestOfStopped(tx, runId, plan, found.objective), db);
    // Ended with its worker: the next one begins the run anew.
    else if (!signal.aborted)
      await end({ status: "done", objective: found.objective, bound: found.bound, plan, blind });
  } catch (error) {
    const known = error instanceof AppError || error instanceof RangeError;
    await end({
      status: "failed",
      says: known ? error.message : "Something went wrong inside Raintrip; the log has the details.",
    });
    if (!known) throw error;
  }
}
