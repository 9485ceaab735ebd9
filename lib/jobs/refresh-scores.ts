import { setTimeout as sleep } from "node:timers/promises";
import type { Instant } from "../core/records.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import { type Database, database } from "../store/database.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { noteStale } from "../store/scoring-state.ts";
import { readTransaction, type Sql, systemTransaction } from "../store/transaction.ts";
import { ChangedSites, type RefreshOptions } from "./changed-sites.ts";
import { passOverFleet, unrankedCount } from "./fleet-pass.ts";
import { holdingLock } from "./hold-lock.ts";
import { scoreLockKey } from "./import-lock.ts";
import { planRound, scoreBatch, stalePlans } from "./score-batch.ts";
import { scorePlan } from "./score-plan.ts";
import { BATCH, SharedCourse, standingHashes } from "./share-sites.ts";

/**
 * How many sites wait for a new score, or for the fleet pass to take their new score in.
 * @param siteIds only these are looked at
 */
export async function staleCount(tx: Sql, now: Instant, siteIds?: string[]): Promise<number> {
  const { version } = await currentParameters(tx);
  const plan = await scorePlan(tx, { now, parameterVersion: version, ...(siteIds ? { siteIds } : {}) });
  if (!plan) return 0;
  return Math.max(stalePlans(plan, await standingHashes(tx, siteIds)).length, await unrankedCount(tx));
}

/**
 * Compute every stale score of the actor's account and store it, then the fleet's q-values and ranks. Any number of processes do
 * so at once and share the sites out; a batch is stored whole or not at all, so ending midway loses nothing.
 * @returns how many sites were scored here; when it returns, those that others scored are stored too
 */
export async function refreshScores(actor: Actor, options: RefreshOptions): Promise<{ scored: number }> {
  const db = await database();
  const system = systemActor(actor.accountId);
  const done = await holdingLock(db, scoreLockKey(actor.accountId), { waits: true, isShared: true }, async () => {
    let scored = 0;
    for (let round = 0; round < MOST_ROUNDS; round++) {
      const now = await refreshOnce(db, system, options);
      scored += now;
      if (now === 0 || options.signal?.aborted) break;
    }
    return { scored };
  });
  return done ?? { scored: 0 };
}

/**
 * Score the sites alone whose own records changed, some of them, and put each into its place: what one new record does is seen
 * without a round over the account, also while another is under way. Everything else is `refreshScores`'s to do.
 * @returns how many were scored here
 */
export async function scoreChanged(actor: Actor, options: RefreshOptions): Promise<number> {
  return new ChangedSites(await database(), systemActor(actor.accountId), options).score();
}

/** What a visit found at one site bears on others of its installer, which a second round takes in; a third is room. */
const MOST_ROUNDS = 3;
/** How long to leave others to the sites that they have in hand. */
const OTHERS_MS = 100;

async function refreshOnce(db: Database, actor: Actor, options: RefreshOptions): Promise<number> {
  const changes = new ChangedSites(db, actor, options);
  let scored = await changes.score();
  const round = await readTransaction(actor, (tx) => planRound(tx, options.now), db);
  if (!round) return scored;
  changes.startFrom(round);
  const course = new SharedCourse(round.stale);
  const total = course.left;
  if (total > 0) await systemTransaction(actor, (tx) => noteStale(tx, total), db);
  if (total > 2 * BATCH) await options.callOthers?.();
  let held = 0;
  while (course.left > 0 && !options.signal?.aborted) {
    const batch = await scoreBatch(db, actor, round, course.next(), { isUrgent: changes.isUrgent });
    course.done(batch.done);
    scored += batch.scored;
    if (batch.scored > 0) options.onProgress?.(total - course.left, total);
    if (batch.stopped) scored += await changes.score();
    // Others were here: what they scored meanwhile, here and elsewhere, is for the table to say.
    if (batch.scored === 0) course.done(await doneSince(db, actor, round.seen));
    if (batch.scored === 0 && batch.held > 0) {
      // They have these in hand; once nothing but theirs is left, it is waited for.
      if (held === 0) course.turn();
      held += batch.held;
      if (held >= course.left) {
        await sleep(OTHERS_MS, undefined, options.signal ? { signal: options.signal } : {}).catch(() => {});
        held = 0;
      }
    } else held = 0;
    // Let signals and other work through between batches.
    await new Promise((resolve) => setImmediate(resolve));
  }
  if (!options.signal?.aborted) await passOverFleet(db, actor);
  return scored;
}

async function doneSince(db: Database, actor: Actor, seen: ReadonlyMap<string, string>): Promise<Set<string>> {
  const now = await readTransaction(actor, (tx) => standingHashes(tx), db);
  return new Set([...now].filter(([siteId, hash]) => seen.get(siteId) !== hash).map(([siteId]) => siteId));
}
