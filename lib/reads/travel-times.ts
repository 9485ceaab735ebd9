import "server-only";
import { authorise } from "../core/permissions.ts";
import { safeCsv } from "../core/safe-csv.ts";
import { roadPlaces } from "../dispatch/routes/road-table.ts";
import { roadService } from "../jobs/ask-roads.ts";
import type { Actor } from "../store/actor.ts";
import { crews, sitesOf } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { positionOf, storedWays, wayCounts } from "../store/travel-times.ts";
import { queuedSites } from "../store/weather-feed.ts";
import type { TravelTimesView } from "./travel-times-view.ts";

const MOST_EXAMPLES = 5;

/** Driving times on record and what they lack for the queue as it stands. */
export async function readTravelTimesView(actor: Actor): Promise<TravelTimesView> {
  authorise(actor, "plan.read");
  return readTransaction(actor, async (tx) => {
    const { places, lacking } = await lackingWays(tx);
    const examples = lacking.slice(0, MOST_EXAMPLES).map(([from, to]) => `${from} to ${to}`);
    const ways = places * Math.max(0, places - 1);
    return {
      ...(await wayCounts(tx)),
      service: roadService().kind === "on",
      ...{ places, ways, lacking: lacking.length, examples },
    };
  });
}

/** The ways that nobody gave, as a file to fill in. */
export async function lackingWaysCsv(actor: Actor): Promise<Response> {
  authorise(actor, "plan.read");
  const { lacking } = await readTransaction(actor, lackingWays);
  const cells = (key: string) => [key.slice(0, key.indexOf(" ")), key.slice(key.indexOf(" ") + 1)];
  const head = ["from_kind", "from_id", "to_kind", "to_id", "minutes", "km"];
  const rows = lacking.map(([from, to]) => [...cells(from), ...cells(to), "", ""]);
  return new Response(safeCsv(head, rows), {
    headers: {
      "content-type": "text/csv; charset=utf-8",
      "content-disposition": 'attachment; filename="travel-times-lacking.csv"',
      "cache-control": "no-store",
    },
  });
}

async function lackingWays(tx: Sql): Promise<{ places: number; lacking: [string, string][] }> {
  const sites = [...(await sitesOf(tx, [...new Set((await queuedSites(tx)).map((site) => site.siteId))])).values()];
  const places = roadPlaces({ visits: sites.map((site) => ({ site })), crews: await crews(tx) });
  const leg = await storedWays(tx, new Map(places.map((place) => [place.key, positionOf(place)])));
  const lacking: [string, string][] = [];
  for (const from of places)
    for (const to of places) if (from.key !== to.key && !leg?.(from.key, to.key)) lacking.push([from.key, to.key]);
  return { places: places.length, lacking };
}
