import { AppError } from "../core/app-error.ts";
import type { Instant } from "../core/records.ts";
import { SUSPICION_PROBABILITY } from "../coverage/deadlines-suspicion.ts";
import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { type KeepScores, removeOldScores, sitesWithOldScores } from "../store/score-retention.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";

const DAY_MS = 86_400_000;
/** Days for which every score is kept, and for which the last of each week is; beyond, the last of each month. */
const USUAL: readonly [number, number] = [90, 365];
/** Sites in one transaction. */
const SITES = 500;

/**
 * How long scores are kept, from RAINTRIP_KEEP_SCORES: two numbers of days, or `all`.
 * @returns null: all of them, for good
 * @throws AppError `wrong_use` for anything else
 */
export function keepScores(now: Instant, text = process.env.RAINTRIP_KEEP_SCORES ?? ""): KeepScores | null {
  if (text.trim() === "all") return null;
  const given = text.trim() === "" ? USUAL : text.split(",").map(Number);
  const [every, weekly] = given as [number, number];
  if (given.length !== 2 || !given.every((days) => Number.isInteger(days) && days >= 1) || weekly < every)
    throw new AppError("wrong_use", {
      message: `RAINTRIP_KEEP_SCORES is "${text}": write all, or two numbers of days, as 90,365 (every score for 90 days, the last of a week for 365, then the last of a month).`,
    });
  return {
    everyFrom: new Date(now - every * DAY_MS),
    weeklyFrom: new Date(now - weekly * DAY_MS),
    suspicion: SUSPICION_PROBABILITY,
  };
}

/**
 * Take away scores that are old and that nothing refers to, some sites at a time, each time with its entry in the audit log.
 * Doing it twice, or by two workers at once, takes away nothing more.
 * @returns how many went
 */
export async function thinScores(db: Database, accountId: number, now: Instant): Promise<number> {
  const keep = keepScores(now);
  if (keep === null) return 0;
  const actor = systemActor(accountId);
  const sites = await readTransaction(actor, (tx) => sitesWithOldScores(tx, keep), db);
  let gone = 0;
  for (let at = 0; at < sites.length; at += SITES) {
    const some = sites.slice(at, at + SITES);
    gone += await writeTransaction(
      actor,
      async (tx) => {
        const removed = await removeOldScores(tx, some, keep);
        const detail = {
          removed,
          sites: some.length,
          every_score_from: keep.everyFrom.toISOString(),
          last_of_a_week_from: keep.weeklyFrom.toISOString(),
        };
        return { result: removed, note: removed > 0 ? { action: "score.thin", subject: "old scores", detail } : null };
      },
      db,
    );
  }
  return gone;
}
