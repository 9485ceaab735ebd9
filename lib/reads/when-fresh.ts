import "server-only";
import { setTimeout as sleep } from "node:timers/promises";
import { AppError } from "../core/app-error.ts";
import { staleCount } from "../jobs/refresh-scores.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { giveWay } from "../store/give-way.ts";
import { staleAtLast } from "../store/scoring-state.ts";
import { readTransaction } from "../store/transaction.ts";

const LONGEST_WAIT_MS = 50_000;
const EXACT_EVERY = 4;

/**
 * Wait until no score of the account, or of one site, is stale. The worker computes, never the web process: a page must not wait
 * behind a fleet.
 * @throws AppError `busy` when it takes longer than a request should
 */
export async function whenFresh(actor: Actor, siteId?: string): Promise<void> {
  const started = Date.now();
  for (let tries = 0; ; tries++) {
    const stale = await readTransaction(actor, async (tx) => {
      // Counting exactly takes all that a score depends on: mostly it is enough that the worker says that some wait.
      const known = siteId === undefined && tries % EXACT_EVERY !== 0 ? await staleAtLast(tx) : 0;
      return known > 0 ? known : staleCount(tx, Date.now(), siteId === undefined ? undefined : [siteId]);
    });
    if (stale === 0) return;
    if (tries === 0) {
      giveWay();
      await wakeScoring(actor.accountId);
    }
    if (Date.now() - started > LONGEST_WAIT_MS) {
      throw new AppError("busy", {
        message: `${stale} ${stale === 1 ? "site waits" : "sites wait"} for a new score. Try again in a little while.`,
      });
    }
    await sleep(Math.min(1000, 250 * 2 ** tries));
  }
}
