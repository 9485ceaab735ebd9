import "server-only";
import { lossInputHash } from "../jobs/loss-inputs.ts";
import { systemActor } from "../store/actor.ts";
import { finishedLossRun } from "../store/loss-runs.ts";
import { readTransaction } from "../store/transaction.ts";
import { BooksResult } from "./exposure-stored.ts";

/** The newest finished run as the program knows it. Its result is over all books: a door gives out only what its asker may see. */
export interface LossRunAbout {
  runId: string;
  asOf: string | null;
  computedAt: string | null;
  stale: boolean;
  parameterVersion: string | null;
  result: BooksResult;
}

/**
 * What figures of single sites and books rest on. A run is the whole account's, so row security shows it to nobody who is
 * held to some sites; their own rows of it they do see.
 */
export async function lossRunAbout(accountId: number): Promise<LossRunAbout | null> {
  return readTransaction(systemActor(accountId), async (tx) => {
    const run = await finishedLossRun(tx);
    if (!run) return null;
    const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString());
    return {
      runId: run.runId,
      asOf: iso(run.asOf),
      computedAt: iso(run.finishedAt),
      stale: run.inputHash !== (await lossInputHash(tx)),
      parameterVersion: run.parameterVersion,
      result: BooksResult.parse(run.result),
    };
  });
}
