import "server-only";
import { authorise } from "../core/permissions.ts";
import { pathReport } from "../grounding/path-report.ts";
import type { Actor } from "../store/actor.ts";
import { siteRecords } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import type { GroundingPathView } from "./grounding-path-view.ts";

/**
 * The bonding path of a site; null when there is no such site. Unlike a score it does not end with the newest fault or
 * weather: a failed reading of today is shown today.
 */
export async function readGroundingPath(actor: Actor, siteId: string): Promise<GroundingPathView | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const records = (await siteRecords(tx, [siteId], { logs: false })).get(siteId);
    if (!records) return null;
    const asOf = Date.now();
    return { asOf: new Date(asOf).toISOString(), ...pathReport(records, asOf) };
  });
}
