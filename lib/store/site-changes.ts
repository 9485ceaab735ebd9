import type { Sql } from "./transaction.ts";

/** Sites that were scored before and whose own records changed since, the newest changes first. @param most so many changes are looked at */
export async function changedSites(tx: Sql, most: number): Promise<string[]> {
  const rows = await tx<{ site_id: string }[]>`
    SELECT c.site_id FROM site_change c WHERE c.account_id = current_account()
      AND EXISTS (SELECT FROM standing st WHERE st.account_id = c.account_id AND st.site_id = c.site_id)
    ORDER BY c.written_in DESC LIMIT ${most}`;
  return [...new Set(rows.map((row) => row.site_id))];
}

/** What the statements of a transaction see, as the server names it. */
export async function snapshotNow(tx: Sql): Promise<string> {
  const [row] = await tx<{ now: string }[]>`SELECT pg_current_snapshot()::text AS now`;
  return row?.now ?? "";
}

/**
 * Sites whose records changed in transactions that a snapshot does not see, however long ago these began: read is what came
 * since, and nothing else.
 * @returns with the snapshot to ask from the next time
 */
export async function changesSince(tx: Sql, snapshot: string): Promise<{ siteIds: string[]; snapshot: string }> {
  const [row] = await tx<{ now: string; site_ids: string[] }[]>`
    SELECT pg_current_snapshot()::text AS now, ARRAY(
      SELECT DISTINCT site_id FROM site_change WHERE account_id = current_account()
        AND written_in >= pg_snapshot_xmin(${snapshot}::pg_snapshot)::text::bigint
        AND NOT pg_visible_in_snapshot(written_in::text::xid8, ${snapshot}::pg_snapshot)) AS site_ids`;
  return { siteIds: row?.site_ids ?? [], snapshot: row?.now ?? snapshot };
}

/** What is stored takes these revisions in: their changes wait for nobody any more, later ones do. */
export async function forgetChanges(tx: Sql, sites: readonly { siteId: string; revision: number }[]): Promise<void> {
  if (sites.length === 0) return;
  await tx`DELETE FROM site_change c USING unnest(${sites.map((s) => s.siteId)}::text[], ${sites.map((s) => s.revision)}::bigint[])
      AS done(site_id, revision)
    WHERE c.account_id = current_account() AND c.site_id = done.site_id AND c.revision <= done.revision`;
}
