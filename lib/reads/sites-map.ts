import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { ground } from "./plan-map.ts";
import { filters } from "./ranked-sites.ts";
import type { RankedSitesQuery } from "./ranked-sites-query.ts";
import type { SitesMap } from "./ranked-sites-view.ts";

/** More marks than this would be a stain; the most pressing are drawn. */
const MOST_DRAWN = 3000;

const Row = z.object({
  site_id: z.string(),
  name: z.string(),
  urgency: z.enum(["make_safe", "urgent", "planned", "watch"]),
  latitude: z.number(),
  longitude: z.number(),
  matching: z.number(),
});

/** The sites of the list on state and county lines, the most pressing last so that they lie on top; null: none matches. */
export async function readSitesMap(actor: Actor, query: RankedSitesQuery): Promise<SitesMap | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const found = await tx`
      SELECT st.site_id, st.name, st.urgency, s.latitude, s.longitude, (count(*) OVER ())::int AS matching
      FROM standing st JOIN site s USING (account_id, site_id)
      WHERE ${filters(tx, query)} ORDER BY st.urgency_order, st.rank NULLS LAST, st.site_id LIMIT ${MOST_DRAWN}`;
    const rows = z.array(Row).parse([...found]);
    if (rows.length === 0) return null;
    const { at, outlines, ...drawing } = ground(rows);
    return {
      ...drawing,
      ...outlines,
      sites: rows.reverse().map((row) => ({ siteId: row.site_id, name: row.name, urgency: row.urgency, ...at(row) })),
      notDrawn: (rows[0]?.matching ?? 0) - rows.length,
    };
  });
}
