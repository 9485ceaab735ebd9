import "server-only";
import type { Site } from "../core/records.ts";
import { parameter, valuesOf } from "../diagnose/parameters.ts";
import { auditCount } from "../dispatch/audit-offer.ts";
import type { Actor } from "../store/actor.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { siteRecords } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { answerSentence } from "./answer-sentence.ts";
import type { QueueDocument } from "./documents.ts";
import { queueDocument } from "./queue.ts";
import { storedScores } from "./score.ts";
import type { VisitsView, VisitView } from "./visits-view.ts";

/** The queue with the names that people know sites by. */
export async function readVisits(actor: Actor): Promise<VisitsView> {
  return readTransaction(actor, async (tx) => {
    const queue = await queueDocument(tx);
    const rows = await tx<
      { site_id: string; name: string; portfolio: string; p: number; low: number; high: number; cause: string }[]
    >`
      SELECT site_id, name, portfolio, bonding_p AS p, bonding_low AS low, bonding_high AS high, leading_cause AS cause
      FROM standing WHERE account_id = current_account()`;
    const of = new Map(rows.map((row) => [row.site_id, row]));
    return {
      as_of: queue.as_of,
      currency: queue.currency,
      visits: queue.visits.flatMap((visit) => {
        const row = of.get(visit.site_id);
        if (!row) return [];
        const { name, portfolio, p, low, high, cause } = row;
        return [{ ...visit, siteName: name, portfolio, bonding: { p, low, high }, leadingCause: cause }];
      }),
      watch: queue.watch.map((w) => ({
        siteId: w.site_id,
        siteName: of.get(w.site_id)?.name ?? w.site_id,
        reason: w.reason,
        wouldChange: w.would_change,
      })),
      audit: await auditOffer(tx, queue),
    };
  });
}

/** The lot falls by month and site alone, so it neither follows what is believed of a site nor moves while one looks. */
async function auditOffer(tx: Sql, queue: QueueDocument): Promise<VisitsView["audit"]> {
  const share = parameter(valuesOf(await currentParameters(tx)), "audit.share");
  const month = (queue.as_of ?? "").slice(0, 7);
  const count = auditCount(queue.visits.length, share, queue.watch.length);
  const sites = await tx<{ site_id: string; name: string }[]>`
    SELECT site_id, name FROM standing WHERE account_id = current_account() AND urgency = 'watch'
    ORDER BY md5(current_account() || '/' || ${month} || '/' || site_id), site_id LIMIT ${count}`;
  return {
    month,
    sharePct: Math.round(share * 1000) / 10,
    sites: sites.map((row) => ({ siteId: row.site_id, siteName: row.name })),
  };
}

/** One queued visit with what the technician needs at the gate; null when it is not in the queue. */
export async function readVisit(actor: Actor, visitId: string): Promise<VisitView | null> {
  return readTransaction(actor, async (tx) => {
    const queue = await queueDocument(tx);
    const visit = queue.visits.find((v) => v.visit_id === visitId);
    if (!visit) return null;
    const site = (await siteRecords(tx, [visit.site_id])).get(visit.site_id)?.site;
    const [score] = await storedScores(tx, visit.site_id);
    if (!site || !score) return null;
    return {
      asOf: queue.as_of ?? "",
      currency: queue.currency,
      visit,
      site: visitedSite(site),
      answer: answerSentence(score),
    };
  });
}

/** What the technician needs of a site at the gate. */
export function visitedSite(site: Site): VisitView["site"] {
  const { siteId, name, portfolio, latitude, longitude, timeZone, dcKw, acKw, mounting, necEdition } = site;
  const { contactName, contactPhone, emergencyPhone, accessFrom, accessTo, accessNote, permitAuthority } = site;
  return {
    ...{ siteId, name, portfolio, latitude, longitude, timeZone, dcKw, acKw, mounting, necEdition },
    ...{ contactName, contactPhone, emergencyPhone, accessFrom, accessTo, accessNote, permitAuthority },
  };
}
