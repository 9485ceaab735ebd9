import { randomUUID } from "node:crypto";
import { z } from "zod";
import type { Sql } from "./transaction.ts";

const PlanRunQuery = z.object({ from: z.string(), days: z.number(), seed: z.number(), effort: z.number() });
export type PlanRunQuery = z.infer<typeof PlanRunQuery>;

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
  }));
/** A plan asked of the worker, how far it is and the best so far. */
export type PlanRun = z.infer<typeof Row>;

const HISTORY = 50;

/** @returns the new run's id; only the newest runs are kept */
export async function addPlanRun(tx: Sql, requestedBy: string, query: PlanRunQuery): Promise<string> {
  const runId = randomUUID();
  await tx`INSERT INTO plan_run (account_id, run_id, requested_by, query)
    VALUES (current_account(), ${runId}, ${requestedBy}, ${tx.json(query)})`;
  await tx`DELETE FROM plan_run WHERE account_id = current_account() AND status NOT IN ('waiting', 'running')
    AND run_id NOT IN (SELECT run_id FROM plan_run WHERE account_id = current_account()
      ORDER BY requested_at DESC LIMIT ${HISTORY})`;
  return runId;
}

export async function planRun(tx: Sql, runId: string): Promise<PlanRun | null> {
  const [row] = await tx`SELECT run_id, requested_by, requested_at, query, status, started_at, finished_at, objective,
      bound, plan, blind, says FROM plan_run WHERE account_id = current_account() AND run_id = ${runId}`;
  return row ? Row.parse(row) : null;
}

/** Runs that wait, or whose worker may have died, oldest first. */
export async function openPlanRuns(tx: Sql): Promise<string[]> {
  const rows = await tx<{ run_id: string }[]>`SELECT run_id FROM plan_run
    WHERE account_id = current_account() AND status IN ('waiting', 'running') ORDER BY requested_at, run_id`;
  return rows.map((row) => row.run_id);
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
