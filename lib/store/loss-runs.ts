import { randomUUID } from "node:crypto";
import { z } from "zod";
import type { Sql } from "./transaction.ts";

export const LOSS_RUN_KINDS = ["books", "what_if"] as const;
export type LossRunKind = (typeof LOSS_RUN_KINDS)[number];

const RunRow = z
  .object({
    run_id: z.string(),
    kind: z.enum(LOSS_RUN_KINDS),
    asked: z.unknown(),
    status: z.enum(["waiting", "running", "done", "failed", "cancelled"]),
    requested_by: z.string(),
    requested_at: z.date(),
    finished_at: z.date().nullable(),
    done: z.number().int(),
    total: z.number().int(),
    input_hash: z.string(),
    as_of: z.date().nullable(),
    parameter_version: z.string().nullable(),
    code_version: z.string().nullable(),
    seed: z.string().nullable(),
    result: z.unknown(),
    says: z.string().nullable(),
  })
  .transform((r) => ({
    runId: r.run_id,
    kind: r.kind,
    asked: r.asked,
    status: r.status,
    requestedBy: r.requested_by,
    requestedAt: r.requested_at.getTime(),
    finishedAt: r.finished_at?.getTime() ?? null,
    done: r.done,
    total: r.total,
    inputHash: r.input_hash,
    asOf: r.as_of?.getTime() ?? null,
    parameterVersion: r.parameter_version,
    codeVersion: r.code_version,
    seed: r.seed,
    /** As it was stored; whoever reads it parses it. */
    result: r.result ?? null,
    says: r.says,
  }));
export type LossRun = z.infer<typeof RunRow>;

export const isOpenLossRun = (run: LossRun | null): boolean => run?.status === "waiting" || run?.status === "running";

async function runs(tx: Sql, where: ReturnType<Sql>, most: number): Promise<LossRun[]> {
  const rows = await tx`SELECT * FROM loss_run WHERE account_id = current_account() AND ${where}
    ORDER BY requested_at DESC, run_id LIMIT ${most}`;
  return z.array(RunRow).parse([...rows]);
}

/** Newest run of a kind, whatever became of it. */
export async function newestLossRun(tx: Sql, kind: LossRunKind): Promise<LossRun | null> {
  return (await runs(tx, tx`kind = ${kind}`, 1))[0] ?? null;
}

/** Newest run over the books that came to its end. */
export async function finishedLossRun(tx: Sql): Promise<LossRun | null> {
  return (await runs(tx, tx`kind = 'books' AND status = 'done'`, 1))[0] ?? null;
}

export async function lossRun(tx: Sql, runId: string): Promise<LossRun | null> {
  return (await runs(tx, tx`run_id = ${runId}`, 1))[0] ?? null;
}

/** Runs that wait or whose worker may have died, oldest first. */
export async function openLossRuns(tx: Sql): Promise<LossRun[]> {
  return (await runs(tx, tx`status IN ('waiting', 'running')`, 100)).reverse();
}

export async function addLossRun(
  tx: Sql,
  run: { kind: LossRunKind; asked: unknown; inputHash: string; requestedBy: string },
): Promise<string> {
  const runId = randomUUID();
  await tx`INSERT INTO loss_run (account_id, run_id, kind, asked, input_hash, requested_by)
    VALUES (current_account(), ${runId}, ${run.kind}, ${tx.json(run.asked as never)}, ${run.inputHash}, ${run.requestedBy})`;
  return runId;
}

/** Note how far a run is. @returns false when it is no longer open, because somebody stopped it */
export async function saveLossProgress(tx: Sql, runId: string, done: number, total: number): Promise<boolean> {
  const rows = await tx`UPDATE loss_run SET status = 'running', done = ${done}, total = ${total}
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running') RETURNING 1`;
  return rows.length > 0;
}

export interface LossResult {
  result: unknown;
  inputHash: string;
  asOf: number;
  parameterVersion: string;
  codeVersion: string;
  seed: string;
}

/** @returns false when somebody stopped the run meanwhile; nothing is stored then */
export async function finishLossRun(tx: Sql, runId: string, found: LossResult): Promise<boolean> {
  const rows = await tx`UPDATE loss_run SET status = 'done', finished_at = clock_timestamp(), done = total,
      result = ${tx.json(found.result as never)}, input_hash = ${found.inputHash}, as_of = ${new Date(found.asOf)},
      parameter_version = ${found.parameterVersion}, code_version = ${found.codeVersion}, seed = ${found.seed}
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running') RETURNING 1`;
  return rows.length > 0;
}

/** End a run without a result. @returns false when it had ended already */
export async function endLossRun(
  tx: Sql,
  runId: string,
  status: "failed" | "cancelled",
  says: string,
): Promise<boolean> {
  const rows = await tx`UPDATE loss_run SET status = ${status}, finished_at = clock_timestamp(), says = ${says}
    WHERE account_id = current_account() AND run_id = ${runId} AND status IN ('waiting', 'running') RETURNING 1`;
  return rows.length > 0;
}

/** What the newest run found of one site. */
export interface LossSiteRow {
  siteId: string;
  book: string;
  gross: number;
  recovered: number;
  net: number;
  netLow: number;
  netHigh: number;
  partOfBook: number;
  partOfWhole: number;
  detail: unknown;
}

/** Store the sites of a run and let those of older runs go: only the newest is looked into. */
export async function replaceLossSites(tx: Sql, runId: string, sites: readonly LossSiteRow[]): Promise<void> {
  await tx`DELETE FROM loss_site WHERE account_id = current_account()`;
  const [account] = await tx<{ id: number }[]>`SELECT current_account() AS id`;
  for (let from = 0; from < sites.length; from += 1000) {
    const rows = sites.slice(from, from + 1000).map((s) => ({
      account_id: account?.id ?? 0,
      run_id: runId,
      site_id: s.siteId,
      book: s.book,
      gross: s.gross,
      recovered: s.recovered,
      net: s.net,
      net_low: s.netLow,
      net_high: s.netHigh,
      part_of_book: s.partOfBook,
      part_of_whole: s.partOfWhole,
      detail: tx.json(s.detail as never),
    }));
    await tx`INSERT INTO loss_site ${tx(rows as never)}`;
  }
}

/** Old what-ifs are let go; what the books came to stays for the trend. */
export async function pruneWhatIfs(tx: Sql, keep = 50): Promise<void> {
  await tx`DELETE FROM loss_run WHERE account_id = current_account() AND kind = 'what_if' AND status NOT IN ('waiting', 'running')
    AND run_id NOT IN (SELECT run_id FROM loss_run WHERE account_id = current_account() AND kind = 'what_if'
      ORDER BY requested_at DESC LIMIT ${keep})`;
}

const SiteRow = z
  .object({
    site_id: z.string(),
    name: z.string(),
    book: z.string(),
    gross: z.number(),
    recovered: z.number(),
    net: z.number(),
    net_low: z.number(),
    net_high: z.number(),
    part_of_book: z.number(),
    part_of_whole: z.number(),
    bonding_p: z.number(),
    bonding_low: z.number(),
    bonding_high: z.number(),
  })
  .transform((r) => ({
    siteId: r.site_id,
    name: r.name,
    book: r.book,
    gross: r.gross,
    recovered: r.recovered,
    net: r.net,
    netLow: r.net_low,
    netHigh: r.net_high,
    partOfBook: r.part_of_book,
    partOfWhole: r.part_of_whole,
    bonding: { p: r.bonding_p, low: r.bonding_low, high: r.bonding_high },
  }));
export type LossSite = z.infer<typeof SiteRow>;

/** Sites of a run with the greatest part in the tail first, of one book or of all. */
export async function lossSites(tx: Sql, runId: string, book: string | null, most: number): Promise<LossSite[]> {
  const rows = await tx`
    SELECT l.site_id, st.name, l.book, l.gross, l.recovered, l.net, l.net_low, l.net_high, l.part_of_book, l.part_of_whole,
      st.bonding_p, st.bonding_low, st.bonding_high
    FROM loss_site l JOIN standing st USING (account_id, site_id)
    WHERE l.account_id = current_account() AND l.run_id = ${runId} ${book === null ? tx`` : tx`AND l.book = ${book}`}
    ORDER BY ${book === null ? tx`l.part_of_whole` : tx`l.part_of_book`} DESC, l.site_id LIMIT ${most}`;
  return z.array(SiteRow).parse([...rows]);
}

/** One site of a run with everything that was found of it. */
export async function lossSite(
  tx: Sql,
  runId: string,
  siteId: string,
): Promise<(LossSite & { detail: unknown }) | null> {
  const [row] = await tx`
    SELECT l.site_id, st.name, l.book, l.gross, l.recovered, l.net, l.net_low, l.net_high, l.part_of_book, l.part_of_whole,
      st.bonding_p, st.bonding_low, st.bonding_high, l.detail
    FROM loss_site l JOIN standing st USING (account_id, site_id)
    WHERE l.account_id = current_account() AND l.run_id = ${runId} AND l.site_id = ${siteId}`;
  return row ? { ...SiteRow.parse(row), detail: row.detail as unknown } : null;
}
