import "server-only";
import { randomUUID } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { localDay } from "../core/zoned-time.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { checkContract } from "./coverage-paper.ts";

const Words = (what: string) => z.string().trim().min(3, what).max(2000);
const Person = z.string().trim().min(2, "write the full name of the person").max(300);

/** There is no date in it: a discovery is of the moment it is entered. */
export const DiscoveryBody = z.strictObject({
  siteId: z.string().min(1).max(300),
  what: Words("say what was discovered"),
  reason: Words("say what makes it a discovery: who saw or measured what"),
  by: Person,
});
export const EndDiscoveryBody = z.strictObject({
  siteId: z.string().min(1).max(300),
  discoveryId: z.uuid(),
  how: z.enum(["withdrawn", "closed"]),
  reason: Words("say why"),
  by: Person,
});

async function touch(tx: Sql, siteId: string): Promise<void> {
  await tx`UPDATE site SET revision = revision + 1 WHERE account_id = current_account() AND site_id = ${siteId}`;
}

/**
 * A named person's word that something was discovered, now. The database gives the time and takes no other.
 * @throws AppError `not_found`
 */
export async function enterDiscovery(
  actor: Actor,
  { siteId, what, reason, by }: z.infer<typeof DiscoveryBody>,
): Promise<{ discovery_id: string; discovered_on: string }> {
  authorise(actor, "coverage.write");
  const id = randomUUID();
  const made = await writeTransaction(actor, async (tx) => {
    await checkContract(tx, siteId, null);
    const [row] = await tx<{ at: Date; zone: string }[]>`
      WITH made AS (INSERT INTO discovery (account_id, site_id, discovery_id, what, reason, discovered_by)
        VALUES (current_account(), ${siteId}, ${id}, ${what}, ${reason}, ${by}) RETURNING site_id, discovered_at)
      SELECT discovered_at AS at, time_zone AS zone FROM made JOIN site USING (site_id) WHERE site.account_id = current_account()`;
    if (!row) throw new RangeError("enterDiscovery requires the row it wrote");
    await touch(tx, siteId);
    const on = localDay(row.at.getTime(), row.zone);
    const detail = { discoveryId: id, what, reason, by, at: row.at.toISOString(), siteDay: on };
    return {
      result: { discovery_id: id, discovered_on: on },
      note: { action: "discovery.enter", subject: siteId, detail },
    };
  });
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return made;
}

/**
 * End a discovery: withdrawn because it was none, or closed because the claim is done. It stays on record.
 * @throws AppError `not_found` when no such discovery is open
 */
export async function endDiscovery(
  actor: Actor,
  { siteId, discoveryId, how, reason, by }: z.infer<typeof EndDiscoveryBody>,
): Promise<{ ended: true }> {
  authorise(actor, "coverage.write");
  await writeTransaction(actor, async (tx) => {
    const ended =
      await tx`UPDATE discovery SET ended_how = ${how}, ended_by = ${by}, ended_at = clock_timestamp(), ended_reason = ${reason}
      WHERE account_id = current_account() AND site_id = ${siteId} AND discovery_id = ${discoveryId} AND ended_how IS NULL RETURNING 1`;
    if (ended.length === 0)
      throw new AppError("not_found", { message: "No such discovery is open. Load the page again." });
    await touch(tx, siteId);
    return { result: null, note: { action: `discovery.${how}`, subject: siteId, detail: { discoveryId, reason, by } } };
  });
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { ended: true };
}
