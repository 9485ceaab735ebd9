import { fleetAdjust } from "../correlate/benjamini-hochberg.ts";
import { fleetShrinkage } from "../correlate/fleet-shrinkage.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { noteMoved, noteStale } from "../store/scoring-state.ts";
import { readTransaction, type Sql, writeTransaction } from "../store/transaction.ts";
import { clockHours, readClocks, storeClocks } from "./clock-pass.ts";
import { keepLearned } from "./learning.ts";
import { queueKey } from "./queue-order.ts";
import { holdStandings } from "./write-scores.ts";

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
 * What only the whole fleet can give: q-values, shrunken ratios (a site with few onsets is drawn towards what sites are like, and
 * the chance that weather does nothing there is its local false discovery rate), the clocks of log sources, and the
 * place of each visit in the queue (make_safe before urgent before planned, then loss avoided per cost, then expected
 * loss, then site). All of it is computed before anything is written, so that nobody waits for the computing.
 */
async function rankFleet(tx: Sql): Promise<void> {
  const rows = await tx<FleetRow[]>`
    SELECT site_id, input_hash, p_value, wet_episodes + dry_episodes AS episodes, ratio_grid AS grid,
      CASE WHEN urgency <> 'watch' THEN (row_number() OVER (ORDER BY urgency = 'watch',
        ${tx.unsafe(queueKey("standing"))}, site_id COLLATE "C"))::int END AS place
    FROM standing WHERE account_id = current_account() ORDER BY site_id`;
  const q = benjaminiHochbergFleet(
    rows.map((row) => ({ siteId: row.site_id, pValue: row.p_value, episodes: row.episodes })),
  );
  const ratios = rows.flatMap(({ site_id: siteId, grid }) => (grid ? [{ siteId, grid }] : []));
  const shrunk = new Map(fleetShrinkage(ratios).sites.map((site) => [site.siteId, site]));
  const clocks = await readClocks(tx);
  await holdStandings(tx, true);
  await storeClocks(tx, clocks);
  const hours = await clockHours(tx, clocks);
  const of = <T>(value: (siteId: string) => T | undefined) => rows.map((row) => value(row.site_id) ?? null);
  // Sites that were scored again meanwhile wait for the next pass: what is known here is not of them.
  await tx`
    UPDATE standing st SET q_value = new.q, shrunk_log_ratio = new.ratio, no_effect_p = new.none,
      clock_offset_hours = new.hours, rank = new.place, ranked = true
    FROM unnest(${rows.map((row) => row.site_id)}::text[], ${rows.map((row) => row.input_hash)}::text[],
      ${of((id) => q.get(id))}::float8[], ${of((id) => short(shrunk.get(id)?.logRatio))}::float8[],
      ${of((id) => short(shrunk.get(id)?.noEffect))}::float8[], ${of((id) => hours.get(id))}::float8[],
      ${rows.map((row) => row.place)}::int[]) AS new(site_id, input_hash, q, ratio, none, hours, place)
    WHERE st.account_id = current_account() AND st.site_id = new.site_id AND st.input_hash = new.input_hash
      AND (st.q_value, st.shrunk_log_ratio, st.no_effect_p, st.clock_offset_hours, st.rank, st.ranked)
        IS DISTINCT FROM (new.q, new.ratio, new.none, new.hours, new.place, true)`;
}

/** Every site moves a little with each new score of another: to four digits, so that few rows are written for it. */
const short = (value: number | undefined) => (value === undefined ? undefined : Number(value.toPrecision(4)));

interface FleetRow {
  site_id: string;
  input_hash: string;
  p_value: number | null;
  episodes: number;
  grid: number[] | null;
  place: number | null;
}

/** Sites that were scored since the last pass. */
export async function unrankedCount(tx: Sql): Promise<number> {
  const [row] = await tx<
    { n: number }[]
  >`SELECT count(*)::int AS n FROM standing WHERE account_id = current_account() AND NOT ranked`;
  return row?.n ?? 0;
}

/**
 * Give the fleet's values to what was scored since the last pass, by whichever process. One passes at a time; whoever comes
 * second finds nothing left to do.
 */
export async function passOverFleet(db: Database, actor: Actor): Promise<void> {
  if ((await readTransaction(actor, unrankedCount, db)) === 0) return;
  await writeTransaction(
    actor,
    async (tx) => {
      await tx`SELECT pg_advisory_xact_lock(hashtextextended('raintrip-fleet-pass/' || current_account(), 0))`;
      const scored = await unrankedCount(tx);
      if (scored === 0) return { result: null, note: null };
      await rankFleet(tx);
      await keepLearned(tx);
      await noteStale(tx, 0);
      await noteMoved(tx, 0);
      return { result: null, note: { action: "score.rank", subject: "fleet", detail: { scored } } };
    },
    db,
  );
}
