import { roadPlaces } from "../dispatch/routes/road-table.ts";
import { FeedError } from "../live/feed-error.ts";
import { type FeedConfiguration, feedConfiguration } from "../live/feed-settings.ts";
import { type Outside, PoliteClient } from "../live/polite-client.ts";
import { roadTableOf, TABLE_BLOCK } from "../live/road-table-service.ts";
import { SYSTEM_OUTSIDE } from "../live/system-outside.ts";
import type { Actor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { crews, sitesOf } from "../store/site-records.ts";
import { readTransaction, systemTransaction } from "../store/transaction.ts";
import { positionOf, saveTravelTimes, storedWays, type TravelTime } from "../store/travel-times.ts";
import { queuedSites } from "../store/weather-feed.ts";

/** The routing server of this installation; off unless it is named. */
export const roadService = (): FeedConfiguration => feedConfiguration(process.env, "RAINTRIP_ROADS");

export interface RoadsAsked {
  requests: number;
  stored: number;
  /** Why it ended early; null: nothing is left to ask for. */
  says: string | null;
}

/**
 * Ask the routing server for the ways between the bases and the queued sites that are not stored, a block at a time.
 * What was stored stays when it ends early; the next call goes on from there, and without it plans take the great circle.
 */
export async function askRoads(
  db: Database,
  actor: Actor,
  {
    signal,
    outside = SYSTEM_OUTSIDE,
    service = roadService(),
  }: {
    signal: AbortSignal;
    outside?: Outside;
    service?: FeedConfiguration;
  },
): Promise<RoadsAsked> {
  if (service.kind !== "on") return { requests: 0, stored: 0, says: service.kind === "wrong" ? service.says : null };
  const { places, ways } = await readTransaction(
    actor,
    async (tx) => {
      const siteIds = (await queuedSites(tx)).map((site) => site.siteId);
      const sites = [...(await sitesOf(tx, siteIds)).values()];
      const found = roadPlaces({ visits: sites.map((site) => ({ site })), crews: await crews(tx) });
      return { places: found, ways: await storedWays(tx, new Map(found.map((p) => [p.key, positionOf(p)]))) };
    },
    db,
  );
  const client = new PoliteClient(service.settings, outside, signal);
  const blocks = Array.from({ length: Math.ceil(places.length / TABLE_BLOCK) }, (_, k) =>
    places.slice(k * TABLE_BLOCK, (k + 1) * TABLE_BLOCK),
  );
  let stored = 0;
  try {
    for (const from of blocks) {
      for (const to of blocks) {
        const lacks = from.some((a) => to.some((b) => a.key !== b.key && ways?.(a.key, b.key) == null));
        if (!lacks) continue;
        const table = await roadTableOf(client, from, to);
        const fresh = from.flatMap((a, i) =>
          to.flatMap((b, j): TravelTime[] => {
            const way = table[i]?.[j];
            if (!way || a.key === b.key) return [];
            return [{ from: a.key, to: b.key, ...way, positions: `${positionOf(a)};${positionOf(b)}` }];
          }),
        );
        await systemTransaction(actor, (tx) => saveTravelTimes(tx, "service", fresh), db);
        stored += fresh.length;
      }
    }
  } catch (error) {
    if (!(error instanceof FeedError)) throw error;
    return { requests: client.requests, stored, says: `The routing server: ${error.message}.` };
  }
  return { requests: client.requests, stored, says: null };
}
