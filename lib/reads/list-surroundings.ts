import "server-only";
import type { PendingQuery, Row } from "postgres";
import { z } from "zod";
import type { Sql } from "../store/transaction.ts";
import type { RankedSitesView } from "./ranked-sites-view.ts";

const Around = z.object({
  matching: z.number(),
  portfolios: z.array(z.string()),
  crews: z.array(z.object({ crewId: z.string(), name: z.string() })),
  as_of: z.date().nullable(),
  stale: z.number(),
});

type Surroundings = Pick<RankedSitesView, "asOf" | "staleSites" | "matching" | "portfolios" | "crews">;

/**
 * What stands around the list, in one query: a page costs the server hardly more than its ways there and back.
 * @param matching how many sites the list has, as a scalar
 */
export async function listSurroundings(tx: Sql, matching: PendingQuery<Row[]>, now: number): Promise<Surroundings> {
  const [row] = await tx`
    SELECT (${matching}) AS matching,
      ARRAY(SELECT portfolio FROM portfolio WHERE account_id = current_account() ORDER BY 1) AS portfolios,
      (SELECT coalesce(jsonb_agg(jsonb_build_object('crewId', crew_id, 'name', name) ORDER BY name, crew_id), '[]')
        FROM crew WHERE account_id = current_account()) AS crews,
      (SELECT greatest(fault_at, telemetry_at, weather_at) FROM data_horizon WHERE account_id = current_account()) AS as_of,
      coalesce((SELECT stale FROM scoring_state WHERE account_id = current_account()), 0)::int AS stale`;
  const { as_of, stale, ...around } = Around.parse(row);
  return {
    ...around,
    asOf: as_of === null ? null : new Date(Math.min(as_of.getTime(), now)).toISOString(),
    staleSites: stale,
  };
}

export interface FleetCounts {
  sites: number;
  /** Sites whose own records changed since they were scored. */
  stale: number;
  byUrgency: RankedSitesView["byUrgency"];
}

interface Totals {
  sites: number;
  revisions: number;
  scored: number;
  scored_revisions: number;
  make_safe: number;
  urgent: number;
  planned: number;
  watch: number;
}

/** What is counted over the whole fleet, from its narrow indexes. */
export async function fleetCounts(tx: Sql): Promise<FleetCounts> {
  const [totals] = await tx<[Totals]>`
    SELECT * FROM (
      SELECT count(*)::int AS sites, coalesce(sum(revision), 0)::float8 AS revisions FROM site WHERE account_id = current_account()
    ) s, (
      SELECT count(site_revision)::int AS scored, coalesce(sum(site_revision), 0)::float8 AS scored_revisions,
        (count(*) FILTER (WHERE urgency = 'make_safe'))::int AS make_safe, (count(*) FILTER (WHERE urgency = 'urgent'))::int AS urgent,
        (count(*) FILTER (WHERE urgency = 'planned'))::int AS planned, (count(*) FILTER (WHERE urgency = 'watch'))::int AS watch
      FROM standing WHERE account_id = current_account()) st`;
  const { sites, revisions, scored, scored_revisions, ...byUrgency } = totals;
  // A site's number only rises, and a score's is one that its site had: equal sums are equal numbers, without a join of the two.
  const isFresh = sites === scored && revisions === scored_revisions;
  return { sites, stale: isFresh ? 0 : await changedSites(tx), byUrgency };
}

async function changedSites(tx: Sql): Promise<number> {
  const [row] = await tx<[{ n: number }]>`
    SELECT count(*)::int AS n FROM site s LEFT JOIN standing st USING (account_id, site_id)
    WHERE s.account_id = current_account() AND st.site_revision IS DISTINCT FROM s.revision`;
  return row.n;
}
