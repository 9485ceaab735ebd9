import "server-only";
import { setTimeout as sleep } from "node:timers/promises";
import { AppError } from "../core/app-error.ts";
import { staleCount } from "../jobs/refresh-scores.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";

const LONGEST_WAIT_MS = 50_000;

/**
 * Wait until no score of the account, or of one site, is stale. The worker computes, never the web process: a page must not wait
 * behind a fleet.
 * @throws AppError `busy` when it takes longer than a request should
 */
export async function whenFresh(actor: Actor, siteId?: string): Promise<void> {
  const started = Date.now();
  for (let asked = false; ; asked = true) {
    const stale = await readTransaction(actor, (tx) =>
      staleCount(tx, Date.now(), siteId === undefined ? undefined : [siteId]),
    );
    if (stale === 0) return;
    if (!asked) await wakeScoring(actor.accountId);
    if (Date.now() - started > LONGEST_WAIT_MS) {
      throw new AppError("busy", {
        message: `${stale} ${stale === 1 ? "site waits" : "sites wait"} for a new score. Try again in a little while.`,
      });
    }
    await sleep(250);
  }
}
