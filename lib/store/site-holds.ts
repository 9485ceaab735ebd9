import type { LocalDay } from "../core/records.ts";
import type { Sql } from "./transaction.ts";

/** A site that somebody holds: nothing is proposed there up to and with that day. */
export interface SiteHold {
  until: LocalDay;
  reason: string;
  by: string;
}

/** Whether hold `h` of site `s` still stands: it ends with its day where the site is, not where the server is. */
export const stillHeld = (tx: Sql) => tx`h.held_until >= (now() AT TIME ZONE s.time_zone)::date`;

/** The holds that are not over, by site. */
export async function siteHolds(tx: Sql): Promise<Map<string, SiteHold>> {
  const rows = await tx<{ site_id: string; until: string; reason: string; by: string }[]>`
    SELECT h.site_id, to_char(h.held_until, 'YYYY-MM-DD') AS until, h.reason, coalesce(p.name, h.held_by) AS by
    FROM site_hold h JOIN site s USING (account_id, site_id) LEFT JOIN person p ON p.account_id = h.account_id AND p.person_id = h.held_by
    WHERE h.account_id = current_account() AND ${stillHeld(tx)}`;
  return new Map(rows.map(({ site_id, until, reason, by }) => [site_id, { until, reason, by }]));
}
