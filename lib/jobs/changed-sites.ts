import type { Instant } from "../core/records.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { changedSites, changesSince, forgetChanges } from "../store/site-changes.ts";
import { readTransaction, type Sql, systemTransaction } from "../store/transaction.ts";
import { planRound, type Round, scoreBatch } from "./score-batch.ts";
import { batches } from "./share-sites.ts";

export interface RefreshOptions {
  now: Instant;
  signal?: AbortSignal;
  /** Called after each batch: sites of the round that are scored, by whomever, and all of them. */
  onProgress?: (done: number, total: number) => void;
  /** Called when a round is long enough to be shared. */
  callOthers?: () => Promise<void>;
  /** How often to look, between sites, whether records changed that somebody may be waiting for. */
  lookEveryMs?: number;
}

/** More changed sites than this are a matter for the whole round. */
const MOST_FIRST = 64;
/** While a long round runs, sites whose records changed are looked for this often. */
const LOOK_EVERY_MS = 300;

/** Sites whose own records changed: somebody may be waiting to see what a new record does, so they go before all others. */
export class ChangedSites {
  /** What the round in hand was planned from; null: there is no round yet. */
  #snapshot: string | null = null;
  #looked = performance.now();
  readonly #urgent = new Set<string>();

  constructor(
    readonly db: Database,
    readonly actor: Actor,
    readonly options: RefreshOptions,
  ) {}

  /** From now on only what changes after this plan is urgent: the rest is in it. */
  startFrom(round: Round): void {
    this.#snapshot = round.snapshot;
  }

  /** Whether the records of some site changed since the round was planned; it looks now and then. */
  readonly isUrgent = async (tx: Sql): Promise<boolean> => {
    if (this.#snapshot === null || performance.now() - this.#looked < (this.options.lookEveryMs ?? LOOK_EVERY_MS))
      return false;
    const { siteIds, snapshot } = await changesSince(tx, this.#snapshot);
    this.#looked = performance.now();
    this.#snapshot = snapshot;
    for (const siteId of siteIds) this.#urgent.add(siteId);
    return this.#urgent.size > 0;
  };

  /** Score those that changed, and give each its place in the queue at once. @returns how many */
  async score(): Promise<number> {
    const { db, actor, options } = this;
    const asked = [...this.#urgent].slice(0, MOST_FIRST);
    for (const siteId of asked) this.#urgent.delete(siteId);
    const round = await readTransaction(
      actor,
      async (tx) => {
        const siteIds = this.#snapshot === null ? await changedSites(tx, MOST_FIRST) : asked;
        if (siteIds.length === 0) return null;
        return planRound(tx, options.now, siteIds);
      },
      db,
    );
    if (!round) return 0;
    const stale = new Set(round.stale);
    const fresh = round.plan.plans.filter((plan) => !stale.has(plan));
    if (fresh.length > 0) await systemTransaction(actor, (tx) => forgetChanges(tx, fresh), db);
    let scored = 0;
    for (const batch of batches(round.stale)) {
      if (options.signal?.aborted) break;
      scored += (await scoreBatch(db, actor, round, batch, { places: true })).scored;
      if (this.#snapshot === null) options.onProgress?.(scored, round.stale.length);
    }
    return scored;
  }
}
