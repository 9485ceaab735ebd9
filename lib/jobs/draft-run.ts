import { AppError } from "../core/app-error.ts";
import { drivenDay } from "../dispatch/plans/driven-day.ts";
import type { HeldPlan } from "../dispatch/plans/held-plan.ts";
import type { Routes } from "../dispatch/routes/route-instance.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { endPlanRun, type PlanProgress, type PlanRun, type PlanWork, savePlanProgress } from "../store/plan-run.ts";
import { systemTransaction, writeTransaction } from "../store/transaction.ts";
import { type ReadyPlan, readyAnew, readyDraft, solve } from "../writes/make-plan.ts";
import { readyRest } from "../writes/replan-rest.ts";

/** How often the best so far is written down, and whether somebody asked to stop looked up. */
const TELL_MS = 500;

/**
 * Carry out a run whose plan becomes a draft, in the name of who asked for it. Draft and end of the run are one
 * transaction: a worker that is killed leaves the run open and nothing else.
 * @throws AppError, RangeError what stands against such a plan, in words
 */
export async function runDraft(
  db: Database,
  accountId: number,
  run: PlanRun & { work: PlanWork },
  signal: AbortSignal,
): Promise<void> {
  const { runId } = run;
  const actor: Actor = { ...systemActor(accountId), person: run.requestedBy };
  const progress: PlanProgress = { best: null, step: null };
  let bound: number | null = null;
  let stopAskedBy: string | null = null;
  let gone = false;
  let routes: Routes | null = null;
  let ready: ReadyPlan | null = null;
  const tell = async () => {
    if (ready && routes) progress.best = figuresOf(ready.held, routes);
    const said = await systemTransaction(actor, (tx) => savePlanProgress(tx, runId, { progress, bound }), db);
    if (said === "gone") gone = true;
    else stopAskedBy = said.stopAskedBy;
  };
  await tell();
  if (gone) return;
  ready = await readyOf(actor, run);
  let told = Promise.resolve();
  const tellSoon = () => {
    told = told.then(tell).catch((error: Error) => console.error(`raintrip plan: ${error.message}`));
  };
  const timer = setInterval(tellSoon, TELL_MS);
  const found = await solve(ready, {
    // Nobody stops before there is anything to keep.
    stopped: () => gone || signal.aborted || (stopAskedBy !== null && routes !== null),
    onBest: (better) => {
      const first = routes === null;
      routes = better;
      if (first) tellSoon();
    },
    onBound: (lower) => {
      bound = lower;
    },
    onStep: (step) => {
      progress.step = step;
    },
  }).finally(() => clearInterval(timer));
  await told;
  // Ended with its worker: the next one begins the run anew.
  if (signal.aborted || gone) return;
  const stopped = stopAskedBy as string | null;
  const early = stopped === null ? [] : [`Stopped by ${stopped} before the search was done: the best so far.`];
  const work = ready;
  await writeTransaction(
    actor,
    async (tx) => {
      const kept = await work.keep(tx, { ...found, notes: [...early, ...found.notes] });
      const says = [...early, ...kept.moved].join(" ") || "Done.";
      const end = { planId: kept.planId, objective: found.objective, bound: found.bound, says };
      if (!(await endPlanRun(tx, runId, end)))
        throw new AppError("cancelled", { message: "The run was taken back; no plan was kept." });
      return { result: null, note: { ...kept.note, detail: { ...kept.note.detail, run: runId } } };
    },
    db,
  );
}

function readyOf(actor: Actor, { query, work }: PlanRun & { work: PlanWork }): Promise<ReadyPlan> {
  switch (work.kind) {
    case "draft":
      return readyDraft(actor, query);
    case "anew":
      return readyAnew(actor, work);
    case "rest":
      return readyRest(actor, work);
  }
}

function figuresOf(held: HeldPlan, routes: Routes): NonNullable<PlanProgress["best"]> {
  const days = routes.flatMap((route, day) => (route.length > 0 ? [drivenDay(held, day, route)] : []));
  const sum = (of: (day: (typeof days)[number]) => number) => days.reduce((total, day) => total + of(day), 0);
  const hazards = routes.flat().filter((stop) => held.input.visits[stop]?.urgency === "make_safe");
  return {
    value: sum((day) => day.value),
    visits: sum((day) => day.day.stops.length),
    makeSafe: hazards.length,
    crewDays: days.length,
    km: sum((day) => day.km),
  };
}
