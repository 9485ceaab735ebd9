import { fleetAdjust } from "../correlate/benjamini-hochberg.ts";
import { fleetShrinkage } from "../correlate/fleet-shrinkage.ts";
import type { Sql } from "../store/transaction.ts";
import { readClocks } from "./clock-pass.ts";

export interface FleetFinding {
  siteId: string;
  pValue: number | null;
  /** Onsets at risk; sites with too few are not looked at and so do not count as looks. */
  episodes: number;
}

/** q-values by site over the sites that give a p-value. */
export function benjaminiHochbergFleet(findings: FleetFinding[]): Map<string, number> {
  return fleetAdjust(findings.map(({ siteId, pValue, episodes }) => ({ siteId, pValue, n: episodes })));
}

/**
 * What the spread of the whole fleet says of each site's rate ratio: a site with few onsets is drawn towards what sites
 * are like, and the chance that weather does nothing there is its local false discovery rate.
 */
async function shrinkRatios(tx: Sql): Promise<void> {
  const rows = await tx<{ site_id: string; grid: number[] }[]>`
    SELECT site_id, ratio_grid AS grid FROM standing
    WHERE account_id = current_account() AND ratio_grid IS NOT NULL ORDER BY site_id`;
  const { sites } = fleetShrinkage(rows.map((row) => ({ siteId: row.site_id, grid: row.grid })));
  await tx`
    UPDATE standing st SET shrunk_log_ratio = new.ratio, no_effect_p = new.none
    FROM unnest(${sites.map((s) => s.siteId)}::text[], ${sites.map((s) => s.logRatio)}::float8[],
      ${sites.map((s) => s.noEffect)}::float8[]) AS new(site_id, ratio, none)
    WHERE st.account_id = current_account() AND st.site_id = new.site_id
      AND (st.shrunk_log_ratio, st.no_effect_p) IS DISTINCT FROM (new.ratio, new.none)`;
}

/**
 * What only the whole fleet can give: q-values, shrunken ratios, the clocks of log sources, and the place of each visit in the queue (make_safe before urgent
 * before planned, then loss avoided per cost, then expected loss, then site).
 */
export async function rankFleet(tx: Sql): Promise<void> {
  const rows = await tx<{ site_id: string; p_value: number | null; episodes: number }[]>`
    SELECT site_id, p_value, wet_episodes + dry_episodes AS episodes FROM standing WHERE account_id = current_account() ORDER BY site_id`;
  const q = benjaminiHochbergFleet(
    rows.map((row) => ({ siteId: row.site_id, pValue: row.p_value, episodes: row.episodes })),
  );
  const ids = rows.map((row) => row.site_id);
  const values = ids.map((id) => q.get(id) ?? null);
  await tx`
    UPDATE standing st SET q_value = new.q FROM unnest(${ids}::text[], ${values}::float8[]) AS new(site_id, q)
    WHERE st.account_id = current_account() AND st.site_id = new.site_id AND st.q_value IS DISTINCT FROM new.q`;
  await shrinkRatios(tx);
  await readClocks(tx);
  await tx`
    WITH placed AS (
      SELECT site_id, row_number() OVER (ORDER BY urgency_order,
        CASE WHEN visit_cost > 0 THEN expected_loss_avoided / visit_cost ELSE 0 END DESC, expected_loss DESC, site_id COLLATE "C") AS place
      FROM standing WHERE account_id = current_account() AND urgency <> 'watch')
    UPDATE standing st SET rank = placed.place
    FROM standing s LEFT JOIN placed USING (site_id)
    WHERE s.account_id = current_account() AND st.account_id = current_account() AND st.site_id = s.site_id
      AND st.rank IS DISTINCT FROM placed.place`;
  await tx`UPDATE standing SET ranked = true WHERE account_id = current_account() AND NOT ranked`;
}
