import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { URGENCIES } from "./documents.ts";
import { ground } from "./plan-map.ts";
import { filters } from "./ranked-sites.ts";
import type { RankedSitesQuery } from "./ranked-sites-query.ts";
import type { SitesMap } from "./ranked-sites-view.ts";

/** Cells along the longer side of the map: sites of one urgency within a cell are one mark, so 20,000 are hundreds. */
const CELLS = 24;
/** Least size of a cell, degrees: two sites on one roof are told apart by their names, not by the map. */
const LEAST_CELL_DEG = 0.01;

const Mark = z.object({
  site_id: z.string(),
  name: z.string(),
  urgency: z.enum(["make_safe", "urgent", "planned", "watch"]),
  n: z.number(),
  latitude: z.number(),
  longitude: z.number(),
  west: z.number(),
  south: z.number(),
  east: z.number(),
  north: z.number(),
});

/** To a hundredth of a degree outwards, as the list's address has it. */
const boxOf = ({ west, south, east, north }: z.infer<typeof Mark>): string => {
  const out = (n: number, up: boolean) =>
    ((up ? Math.ceil(n * 100 + 0.1) : Math.floor(n * 100 - 0.1)) / 100).toFixed(2);
  return [out(west, false), out(south, false), out(east, true), out(north, true)].join(",");
};

/**
 * All sites of the list on state and county lines, those near each other of one urgency as one mark with their number, the most
 * pressing last so that they lie on top; null: none matches.
 */
export async function readSitesMap(actor: Actor, query: RankedSitesQuery): Promise<SitesMap | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const found = await tx`
      WITH place AS MATERIALIZED (
        SELECT st.site_id, st.name, st.urgency, s.latitude, s.longitude
        FROM standing st JOIN site s USING (account_id, site_id) WHERE ${filters(tx, query)}
      ), grid AS (
        SELECT greatest(max(longitude) - min(longitude), max(latitude) - min(latitude), ${CELLS * LEAST_CELL_DEG}) / ${CELLS} AS cell FROM place
      )
      SELECT min(site_id COLLATE "C") AS site_id, min(name COLLATE "C") AS name, urgency, count(*)::int AS n, avg(latitude) AS latitude, avg(longitude) AS longitude,
        min(longitude) AS west, min(latitude) AS south, max(longitude) AS east, max(latitude) AS north
      FROM place, grid GROUP BY urgency, floor(latitude / cell), floor(longitude / cell)
      ORDER BY array_position(${[...URGENCIES]}::text[], urgency) DESC NULLS FIRST, n, 1`;
    const marks = z.array(Mark).parse([...found]);
    if (marks.length === 0) return null;
    const corners = marks.flatMap(({ west, south, east, north }) => [
      { latitude: south, longitude: west },
      { latitude: north, longitude: east },
    ]);
    const { at, outlines, ...drawing } = ground(corners);
    return {
      ...drawing,
      ...outlines,
      total: marks.reduce((sum, mark) => sum + mark.n, 0),
      marks: marks.map((mark) => ({
        ...{ urgency: mark.urgency, ...at(mark) },
        ...(mark.n === 1 ? { siteId: mark.site_id, name: mark.name } : { n: mark.n, box: boxOf(mark) }),
      })),
    };
  });
}
