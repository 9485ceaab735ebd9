import type { Sql } from "../store/transaction.ts";
import type { SitePlan } from "./score-plan.ts";

/** Sites read and stored at once: few enough that even noisy logs fit in memory together. */
export const BATCH = 16;

/** With so many batches left to share, the batches become small. */
const LAST_BATCHES = 4;
const LAST_BATCH = 4;

/** Sites of the same stations one after the other, so that their weather is read once. */
export function byStation(plans: readonly SitePlan[]): SitePlan[] {
  const station = ({ choice }: SitePlan) =>
    choice.kind === "station" ? [choice.stationId, ...choice.helpers.map((h) => h.stationId)].join() : "";
  const keyed = plans.map((plan) => ({ plan, key: station(plan) }));
  keyed.sort((a, b) =>
    a.key < b.key ? -1 : a.key > b.key ? 1 : a.plan.siteId < b.plan.siteId ? -1 : a.plan.siteId > b.plan.siteId ? 1 : 0,
  );
  return keyed.map(({ plan }) => plan);
}

/** Plans by the number that is read at once, those of the same stations together. */
export function batches(plans: readonly SitePlan[]): SitePlan[][] {
  const sorted = byStation(plans);
  return Array.from({ length: Math.ceil(sorted.length / BATCH) }, (_, i) => sorted.slice(i * BATCH, (i + 1) * BATCH));
}

/**
 * The way of one process through the sites of a round that several processes score. Each goes on from where it is; one that
 * meets another's sites turns to the middle of the longest stretch that is left, so that they stay apart and each
 * station's weather is read by few of them.
 */
export class SharedCourse {
  /** Sites that wait, by their place in the round; what is scored leaves it. */
  readonly #left: Map<number, SitePlan>;
  #at = 0;

  constructor(plans: readonly SitePlan[]) {
    this.#left = new Map(byStation(plans).map((plan, place) => [place, plan]));
  }

  get left(): number {
    return this.#left.size;
  }

  /**
   * The next sites in order, round again from the end. Towards the end of the round fewer are taken at a time: whoever has
   * nothing left waits for the last that others have in hand.
   */
  next(): SitePlan[] {
    const places = [...this.#left.keys()];
    const from = places.findIndex((place) => place >= this.#at);
    const size = places.length > LAST_BATCHES * BATCH ? BATCH : LAST_BATCH;
    const taken = places.slice(Math.max(0, from), Math.max(0, from) + size);
    this.#at = (taken.at(-1) ?? -1) + 1;
    return taken.map((place) => this.#left.get(place) as SitePlan);
  }

  /** Sites that are scored, by whomever. */
  done(siteIds: ReadonlySet<string>): void {
    for (const [place, plan] of this.#left) if (siteIds.has(plan.siteId)) this.#left.delete(place);
  }

  /** Go on in the middle of the longest stretch that is left. */
  turn(): void {
    let [best, length, from, last] = [0, 0, 0, Number.NaN];
    for (const place of this.#left.keys()) {
      if (place !== last + 1) from = place;
      last = place;
      if (place - from + 1 > length) [best, length] = [from, place - from + 1];
    }
    this.#at = length > 2 * BATCH ? best + (length >> 1) : best;
  }
}

export interface Claimed {
  /** This transaction's to score. */
  mine: SitePlan[];
  /** Sites whose standing is another than the plan saw: somebody scored them since. */
  done: Set<string>;
  /** How many another process scores now. */
  held: number;
}

/**
 * Take hold of sites until the transaction ends: no other process scores them meanwhile, and when this one dies the database lets
 * go of them at once. Nobody who writes records waits for it.
 * @param seen hash of each site's standing when it was planned
 */
export async function claimSites(
  tx: Sql,
  plans: readonly SitePlan[],
  seen: ReadonlyMap<string, string>,
): Promise<Claimed> {
  const ids = plans.map((plan) => plan.siteId);
  const rows = await tx<{ site_id: string; got: boolean }[]>`
    SELECT site_id, pg_try_advisory_xact_lock(hashtextextended('raintrip-score-site/' || current_account() || '/' || site_id, 0)) AS got
    FROM unnest(${ids}::text[]) AS asked(site_id)`;
  const got = new Set(rows.filter((row) => row.got).map((row) => row.site_id));
  // Asked after the locks are held: whoever had them before has stored what they found by now.
  const now = await standingHashes(tx, ids);
  const done = new Set(ids.filter((id) => now.get(id) !== seen.get(id)));
  return {
    mine: plans.filter(({ siteId }) => got.has(siteId) && !done.has(siteId)),
    done,
    held: ids.filter((id) => !got.has(id) && !done.has(id)).length,
  };
}

/** Hash of what each site's standing was computed from. @param siteIds only these */
export async function standingHashes(tx: Sql, siteIds?: readonly string[]): Promise<Map<string, string>> {
  const rows = await tx<{ site_id: string; input_hash: string }[]>`
    SELECT site_id, input_hash FROM standing WHERE account_id = current_account()
      ${siteIds ? tx`AND site_id = ANY(${[...siteIds]})` : tx``}`;
  return new Map(rows.map((row) => [row.site_id, row.input_hash]));
}

/** Sites whose records are still those that were planned with: an import may have come between. */
export async function stillPlanned(tx: Sql, plans: readonly SitePlan[]): Promise<Set<string>> {
  const rows = await tx<{ site_id: string; revision: number }[]>`
    SELECT site_id, revision::float8 AS revision FROM site
    WHERE account_id = current_account() AND site_id = ANY(${plans.map((p) => p.siteId)})`;
  const now = new Map(rows.map((row) => [row.site_id, row.revision]));
  return new Set(plans.filter((p) => now.get(p.siteId) === p.revision).map((p) => p.siteId));
}
