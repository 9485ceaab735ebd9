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
  moves: z.number(),
  stale: z.number(),
});

type Surroundings = Pick<RankedSitesView, "asOf" | "moves" | "staleSites" | "matching" | "portfolios" | "crews">;

/**
 * What stands around the list, in one query: a page costs the server hardly more than its ways there and back.
 * @param matching the conditions of the list on `standing st`
 */
export async function listSurroundings(tx: Sql, matching: PendingQuery<Row[]>, now: number): Promise<Surroundings> {
  const [row] = await tx`
    SELECT (SELECT count(*)::int FROM standing st WHERE ${matching}) AS matching,
      ARRAY(SELECT portfolio FROM portfolio WHERE account_id = current_account() ORDER BY 1) AS portfolios,
      (SELECT coalesce(jsonb_agg(jsonb_build_object('crewId', crew_id, 'name', name) ORDER BY name, crew_id), '[]')
        FROM crew WHERE account_id = current_account()) AS crews,
      (SELECT greatest(fault_at, telemetry_at, weather_at) FROM data_horizon WHERE account_id = current_account()) AS as_of,
      coalesce((SELECT moves FROM scoring_state WHERE account_id = current_account()), 0)::float8 AS moves,
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

/** What is counted over the whole fleet, in one pass over its narrow indexes. */
export async function fleetCounts(tx: Sql): Promise<FleetCounts> {
  const rows = await tx<{ urgency: string | null; n: number; stale: number }[]>`
    SELECT st.urgency, count(*)::int AS n, (count(*) FILTER (WHERE st.site_revision IS DISTINCT FROM s.revision))::int AS stale
    FROM site s LEFT JOIN standing st USING (account_id, site_id) WHERE s.account_id = current_account() GROUP BY 1`;
  const of = (urgency: string) => rows.find((row) => row.urgency === urgency)?.n ?? 0;
  const sum = (key: "n" | "stale") => rows.reduce((all, row) => all + row[key], 0);
  return {
    sites: sum("n"),
    stale: sum("stale"),
    byUrgency: {
      ...{ make_safe: of("make_safe"), urgent: of("urgent") },
      ...{ planned: of("planned"), watch: of("watch") },
    },
  };
}
