import type { Instant } from "../core/records.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { planRound, scoreBatch } from "./score-batch.ts";
import type { FleetPlan } from "./score-plan.ts";
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
  /** Revisions that the round in hand was planned with; null: there is no round yet. */
  #planned: Map<string, number> | null = null;
  #sum = 0;
  #looked = performance.now();
  #urgent: string[] = [];

  constructor(
    readonly db: Database,
    readonly actor: Actor,
    readonly options: RefreshOptions,
  ) {}

  /** From now on only what changes after this plan is urgent: the rest is in it. */
  startFrom(plan: FleetPlan): void {
    this.#planned = new Map(plan.plans.map((p) => [p.siteId, p.revision]));
    this.#sum = plan.plans.reduce((sum, p) => sum + p.revision, 0);
  }

  /** Whether the records of some site changed since the round was planned; it looks now and then. */
  readonly isUrgent = async (tx: Sql): Promise<boolean> => {
    if (performance.now() - this.#looked < (this.options.lookEveryMs ?? LOOK_EVERY_MS)) return false;
    const [row] = await tx<
      { sum: number }[]
    >`SELECT coalesce(sum(revision), 0)::float8 AS sum FROM site WHERE account_id = current_account()`;
    this.#looked = performance.now();
    if (!row || row.sum === this.#sum) return false;
    this.#sum = row.sum;
    const rows = await tx<
      { site_id: string; revision: number }[]
    >`SELECT site_id, revision::float8 AS revision FROM site WHERE account_id = current_account()`;
    this.#urgent = rows.filter((r) => this.#planned?.get(r.site_id) !== r.revision).map((r) => r.site_id);
    for (const r of rows) this.#planned?.set(r.site_id, r.revision);
    return this.#urgent.length > 0;
  };

  /** Score those that changed, and give each its place in the queue at once. @returns how many */
  async score(): Promise<number> {
    const { db, actor, options } = this;
    const asked = this.#urgent.splice(0, MOST_FIRST);
    const round = await readTransaction(
      actor,
      async (tx) => {
        const siteIds = this.#planned === null ? await changedSites(tx) : asked;
        if (siteIds.length === 0) return null;
        return planRound(tx, options.now, siteIds);
      },
      db,
    );
    if (!round) return 0;
    let scored = 0;
    for (const batch of batches(round.stale)) {
      if (options.signal?.aborted) break;
      scored += (await scoreBatch(db, actor, round, batch, { places: true })).scored;
      if (this.#planned === null) options.onProgress?.(scored, round.stale.length);
    }
    return scored;
  }
}

/** Sites whose own records changed since they were scored, some of them. */
async function changedSites(tx: Sql): Promise<string[]> {
  const rows = await tx<{ site_id: string }[]>`
    SELECT s.site_id FROM site s JOIN standing st USING (account_id, site_id)
    WHERE s.account_id = current_account() AND st.site_revision < s.revision ORDER BY s.site_id LIMIT ${MOST_FIRST}`;
  return rows.map((row) => row.site_id);
}
