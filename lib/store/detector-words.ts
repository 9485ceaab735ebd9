import type { Sql } from "./transaction.ts";

/** What people said of detectors after repairs: by site, then by `instant/cause` of the repair. */
export async function detectorWords(tx: Sql, siteIds: string[]): Promise<Map<string, Map<string, boolean>>> {
  const rows = await tx<{ site_id: string; repaired_at: Date; cause: string; unchanged: boolean }[]>`
    SELECT site_id, repaired_at, cause, unchanged FROM detector_word
    WHERE account_id = current_account() AND site_id = ANY(${siteIds})`;
  const out = new Map<string, Map<string, boolean>>();
  for (const row of rows) {
    const own = out.get(row.site_id) ?? new Map<string, boolean>();
    own.set(`${row.repaired_at.getTime()}/${row.cause}`, row.unchanged);
    out.set(row.site_id, own);
  }
  return out;
}
