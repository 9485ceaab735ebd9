import { randomUUID } from "node:crypto";
import { z } from "zod";
import type { Sql } from "./transaction.ts";

const PlanRunQuery = z.object({ from: z.string(), days: z.number(), seed: z.number(), effort: z.number() });
export type PlanRunQuery = z.infer<typeof PlanRunQuery>;

/** What is to become of a run's plan; null: a document for the API. */
export const PlanWork = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("draft") }),
  z.object({ kind: z.literal("anew"), planId: z.string(), revision: z.number() }),
  z.object({
    kind: z.literal("rest"),
    planId: z.string(),
    /** When the rest begins, epoch ms. */
    at: z.number(),
    reason: z.string(),
    crews: z.array(z.object({ crewId: z.string(), off: z.boolean(), freeAt: z.string().nullable() })),
  }),
]);
export type PlanWork = z.infer<typeof PlanWork>;

const PlanProgress = z.object({
  /** The best so far; null before there is one. */
  best: z
    .object({
      value: z.number(),
      visits: z.number(),
      makeSafe: z.number(),
      crewDays: z.number(),
      km: z.number(),
    })
    .nullable(),
  step: z
    .object({ stage: z.enum(["first", "search", "bound", "choice"]), done: z.number(), of: z.number() })
    .nullable(),
});
/** The best so far in figures, and where the search stands. */
export type PlanProgress = z.infer<typeof PlanProgress>;

const Row = z
  .object({
    run_id: z.string(),
    requested_by: z.string(),
    requested_at: z.date(),
    query: PlanRunQuery,
    status: z.enum(["waiting", "running", "done", "cancelled", "failed"]),
    started_at: z.date().nullable(),
    finished_at: z.date().nullable(),
    objective: z.number().nullable(),
    bound: z.number().nullable(),
    plan: z.unknown(),
    blind: z.array(z.string()),
    says: z.string().nullable(),
    work: PlanWork.nullable(),
    progress: PlanProgress.nullable(),
    stop_asked_by: z.string().nullable(),
    plan_id: z.string().nullable(),
  })
  .transform((r) => ({
    runId: r.run_id,
    requestedBy: r.requested_by,
    requestedAt: r.requested_at.getTime(),
    query: r.query,
    status: r.status,
    startedAt: r.started_at?.getTime() ?? null,
    finishedAt: r.finished_at?.getTime() ?? null,
    objective: r.objective,
    bound: r.bound,
    plan: r.plan ?? null,
    blind: r.blind,
    says: r.says,
    work: r.work,
    progress: r.progress,
    stopAskedBy: r.stop_asked_by,
    planId: r.plan_id,
  }));
/** A plan asked of the worker, how far it is and the best so far. */
export type PlanRun = z.infer<typeof Row>;

const HISTORY = 50;

/** @returns the new run's id; only the newest runs are kept */
export async function addPlanRun(
  tx: Sql,
  requestedBy: string,
  query: PlanRunQuery,
  work: PlanWork | null = null,
): Promise<string> {
  const runId = randomUUID();
  await tx`INSERT INTO plan_run (account_id, run_id, requested_by, query, work)
    VALUES (current_account(), ${runId}, ${requestedBy}, ${tx.json(query)}, ${work === null ? null : tx.json(work)})`;
  await tx`DELETE FROM plan_run WHERE account_id = current_account() AND status NOT IN ('waiting', 'running')
    AND run_id NOT IN (SELECT run_id FROM plan_run WHERE account_id = current_account()
      ORDER BY requested_at DESC LIMIT ${HISTORY})`;
  return runId;
}

export async function planRun(tx: Sql, runId: string): Promise<PlanRun | null> {
  const [row] = await tx`SELECT ${columns(tx)} FROM plan_run
    WHERE account_id = current_account() AND run_id = ${runId}`;
  return row ? Row.parse(row) : null;
}

const columns = (tx: Sql) => tx`run_id, requested_by, requested_at, query, status, started_at, finished_at, objective,
  bound, plan, blind, says, work, progress, stop_asked_by, plan_id`;

/** Runs that are to end in a draft and are open, oldest first, and a person's newest one when it failed since an instant. */
export async function draftRuns(tx: Sql, person: string, failedSince: Date): Promise<PlanRun[]> {
  const rows = await tx`SELECT ${columns(tx)} FROM plan_run
    WHERE account_id = current_account() AND work IS NOT NULL AND (status IN ('waiting', 'running')
      OR (status = 'failed' AND finished_at > ${failedSince} AND run_id = (SELECT run_id FROM plan_run
        WHERE account_id = current_account() AND work IS NOT NULL AND requested_by = ${person}
        ORDER BY requested_at DESC LIMIT 1)))
    ORDER BY requested_at, run_id`;
  return z.array(Row).parse([...rows]);
}

/** Runs that wait, or whose worker may have died: those that somebody waits for before a page first, then the oldest. */
export async function openPlanRuns(tx: Sql): Promise<string[]> {
  const rows = await tx<{ run_id: string }[]>`SELECT run_id FROM plan_run
    WHERE account_id = current_account() AND status IN ('waiting', 'running')
    ORDER BY work IS NULL, requested_at, run_id`;
  return rows.map((row) => row.run_id);
}

/** How many runs are open that end in a draft, or in a document. */
export async function openRunCount(tx: Sql, kind: "document" | "draft"): Promise<number> {
  const [row] = await tx<{ n: number }[]>`SELECT count(*)::int AS n FROM plan_run WHERE account_id = current_account()
    AND status IN ('waiting', 'running') AND (work IS NULL) = ${kind === "document"}`;
  return row?.n ?? 0;
}

/** Record how far a run is that ends in a draft. @returns who asked to stop it; `gone` when it is no longer open */
export async function savePlanProgress(
  tx: Sql,
  runId: string,
  { progress, bound }: { progress: PlanProgress; bound: number | null },
): Promise<{ stopAskedBy: string | null } | "gone"> {
  const [row] = await tx<{ stop_asked_by: string | null }[]>`
    UPDATE plan_run SET status = 'running', objective = ${progress.best?.value ?? null}, bound = ${bound},
      progress = ${tx.json(progress)}, started_at = coalesce(started_at, clock_timestamp())
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running')
    RETURNING stop_asked_by`;
  return row ? { stopAskedBy: row.stop_asked_by } : "gone";
}

/** A run ends with the draft that it became. @returns false when it is no longer open */
export async function endPlanRun(
  tx: Sql,
  runId: string,
  end: { planId: string; objective: number; bound: number | null; says: string },
): Promise<boolean> {
  const ended = await tx`
    UPDATE plan_run SET status = 'done', plan_id = ${end.planId}, objective = ${end.objective}, bound = ${end.bound},
      says = ${end.says}, finished_at = clock_timestamp()
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running')`;
  return ended.count > 0;
}

/** Ask whoever works on a run to end it with the best so far. @returns false when nobody has begun it */
export async function askPlanRunToStop(tx: Sql, runId: string, person: string): Promise<boolean> {
  const asked = await tx`UPDATE plan_run SET stop_asked_by = coalesce(stop_asked_by, ${person})
    WHERE account_id = current_account() AND run_id = ${runId} AND status = 'running'`;
  return asked.count > 0;
}

export interface PlanRunState {
  status: "running" | "done" | "failed";
  objective: number | null;
  bound: number | null;
  /** Null: as it was. */
  plan: object | null;
  blind: readonly string[];
  says: string | null;
}

/** Record how far a run is, or its end. @returns false when somebody stopped it meanwhile */
export async function savePlanRun(tx: Sql, runId: string, now: PlanRunState): Promise<boolean> {
  const over = now.status !== "running";
  const plan = now.plan === null ? null : tx.json(now.plan as never);
  const saved = await tx`
    UPDATE plan_run SET status = ${now.status}, objective = ${now.objective}, bound = ${now.bound},
      plan = coalesce(${plan}::jsonb, plan), blind = ${tx.json([...now.blind])}, says = ${now.says},
      started_at = coalesce(started_at, clock_timestamp()),
      finished_at = CASE WHEN ${over} THEN clock_timestamp() END
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running')`;
  return saved.count > 0;
}

/** The last word on a run that was stopped: the best that it had. */
export async function keepBestOfStopped(tx: Sql, runId: string, plan: object, objective: number): Promise<void> {
  await tx`UPDATE plan_run SET plan = ${tx.json(plan as never)}, objective = ${objective}
    WHERE account_id = current_account() AND run_id = ${runId} AND status = 'cancelled'`;
}

/** Stop a run; the best plan so far stays. @returns false when it had ended already */
export async function stopPlanRun(tx: Sql, runId: string, says: string): Promise<boolean> {
  const stopped = await tx`
    UPDATE plan_run SET status = 'cancelled', finished_at = clock_timestamp(), says = ${says}
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running')`;
  return stopped.count > 0;
}
