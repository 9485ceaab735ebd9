import type { Sql } from "./transaction.ts";

/** Keep how many scores wait, for pages. */
export async function noteStale(tx: Sql, stale: number): Promise<void> {
  await tx`
    INSERT INTO scoring_state (account_id, stale) VALUES (current_account(), ${stale})
    ON CONFLICT (account_id) DO UPDATE SET stale = excluded.stale, counted_at = now()`;
}

/** Scores or ranks moved: open pages see it. @param scored so many fewer wait */
export async function noteMoved(tx: Sql, scored: number): Promise<void> {
  await tx`
    INSERT INTO scoring_state AS t (account_id, stale, moves) VALUES (current_account(), 0, 1)
    ON CONFLICT (account_id) DO UPDATE SET stale = greatest(0, t.stale - ${scored}), moves = t.moves + 1, counted_at = now()`;
  await tx`SELECT pg_notify(${MOVED}, current_account()::text)`;
}

/** Channel on which the server tells, when a transaction is stored, of which account something moved. */
export const MOVED = "raintrip_moved";

/**
 * A number that is another one whenever scores or ranks moved. For whoever does not see every site it is one of their own
 * sites alone, so that it tells nothing of others.
 */
export async function movesSoFar(tx: Sql): Promise<number> {
  const [row] = await tx<{ moves: number }[]>`
    SELECT (CASE WHEN sees_every_site() THEN (SELECT moves FROM scoring_state WHERE account_id = current_account())
      ELSE (SELECT sum(hashtext(input_hash || '/' || coalesce(rank, 0))::bigint) FROM standing WHERE account_id = current_account())
      END)::float8 AS moves`;
  return row?.moves ?? 0;
}

/**
 * How many scores wait as far as a page has to know: what a worker last counted, and sites whose own records changed since
 * they were scored. What else makes scores stale (a new day, parameters, weather) is in it once a worker has looked, which
 * it does within seconds; `staleCount` counts it exactly. Whoever does not see every site is told of their own only.
 */
export async function staleAtLast(tx: Sql): Promise<number> {
  const [row] = await tx<{ stale: number }[]>`
    SELECT greatest(
      (SELECT count(*)::int FROM site s LEFT JOIN standing st USING (account_id, site_id)
        WHERE s.account_id = current_account() AND st.site_revision IS DISTINCT FROM s.revision),
      (SELECT stale FROM scoring_state WHERE account_id = current_account())) AS stale`;
  return row?.stale ?? 0;
}
