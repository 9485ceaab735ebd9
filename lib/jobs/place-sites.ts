import type { Sql } from "../store/transaction.ts";
import { queueKey } from "./queue-order.ts";

/**
 * So many others move for one site; where more lie between its old place and its new one it shares the place of the next in
 * order until the pass over the fleet, which is seconds away, rather than having thousands of rows written.
 */
const MOST_MOVED = 200;

/**
 * Put sites that were scored by themselves into their places in the queue: those between an old place and the new one move by
 * one, so that each rank is given once. The next pass over the fleet puts all in order.
 * @param before the rank of each before it was scored
 */
export async function placeByThemselves(tx: Sql, before: ReadonlyMap<string, number | null>): Promise<void> {
  const gone = await tx<{ site_id: string }[]>`SELECT site_id FROM standing
    WHERE account_id = current_account() AND site_id = ANY(${[...before.keys()]}) AND urgency = 'watch'`;
  const left = gone.flatMap((row) => before.get(row.site_id) ?? []).sort((a, b) => b - a);
  for (const rank of left) await moveOthers(tx, { from: rank + 1, to: await lastRank(tx), by: -1 });
  const watched = new Set(gone.map((row) => row.site_id));
  for (const siteId of before.keys()) if (!watched.has(siteId)) await placeOne(tx, siteId);
}

async function placeOne(tx: Sql, siteId: string): Promise<void> {
  const [own] = await tx<{ rank: number | null }[]>`
    SELECT rank FROM standing WHERE account_id = current_account() AND site_id = ${siteId}`;
  if (!own) return;
  const { rank } = own;
  // An index holds sites by this order while they have a rank; a site without one is given the last, which is then left.
  const last = await lastRank(tx);
  const next = (await rankOfNext(tx, siteId)) ?? last + 1;
  if (rank === null) {
    await moveOthers(tx, { from: next, to: last, by: 1 });
    await giveRank(tx, siteId, next);
  } else if (rank < next) {
    const isMoved = await moveOthers(tx, { from: rank + 1, to: next - 1, by: -1 });
    if (rank !== next - 1) await giveRank(tx, siteId, isMoved ? next - 1 : next);
  } else if (rank > next) {
    await moveOthers(tx, { from: next, to: rank - 1, by: 1 });
    await giveRank(tx, siteId, next);
  }
}

/** Rank of the first site that comes after one in the order of the queue, as the scores are now; null: none does. */
async function rankOfNext(tx: Sql, siteId: string): Promise<number | null> {
  const [other, own] = [tx.unsafe(queueKey("s")), tx.unsafe(queueKey("own"))];
  // The site's own name settles what is equal: as a condition of its own, because row security lets no index take a text.
  const [found] = await tx<{ rank: number }[]>`
    SELECT s.rank FROM standing own CROSS JOIN LATERAL (
      SELECT s.rank FROM standing s
      WHERE s.account_id = current_account() AND s.rank IS NOT NULL AND (${other}) >= (${own})
        AND s.site_id <> own.site_id
        AND (s.site_id COLLATE "C" > own.site_id COLLATE "C" OR (${other}) > (${own}))
      ORDER BY ${other}, s.site_id COLLATE "C" LIMIT 1) s
    WHERE own.account_id = current_account() AND own.site_id = ${siteId}`;
  return found?.rank ?? null;
}

async function lastRank(tx: Sql): Promise<number> {
  const [row] = await tx<
    { rank: number }[]
  >`SELECT rank FROM standing WHERE account_id = current_account() AND rank IS NOT NULL ORDER BY rank DESC LIMIT 1`;
  return row?.rank ?? 0;
}

/** Move those of a stretch of places by one, where they are not too many. @returns whether they did */
async function moveOthers(tx: Sql, { from, to, by }: { from: number; to: number; by: 1 | -1 }): Promise<boolean> {
  if (to < from) return true;
  if (to - from >= MOST_MOVED) return false;
  await tx`UPDATE standing SET rank = rank + ${by} WHERE account_id = current_account() AND rank BETWEEN ${from} AND ${to}`;
  return true;
}

const giveRank = (tx: Sql, siteId: string, rank: number) =>
  tx`UPDATE standing SET rank = ${rank} WHERE account_id = current_account() AND site_id = ${siteId}`;
