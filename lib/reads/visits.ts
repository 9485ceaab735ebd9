import "server-only";
import { authorise, may } from "../core/permissions.ts";
import { parameter, valuesOf } from "../diagnose/parameters.ts";
import { auditCount } from "../dispatch/audit-offer.ts";
import { accountSetting } from "../store/account-settings.ts";
import type { Actor } from "../store/actor.ts";
import { visitsOnSite } from "../store/on-site.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { visitEdits } from "../store/visit-log.ts";
import { overduePeople } from "../visit/check-out.ts";
import { sayStop } from "../visit/say-stop.ts";
import { signOffOf } from "../visit/signature.ts";
import { standingStops } from "../visit/stop-rule.ts";
import { voltReadings } from "../visit/visit-records.ts";
import { whyOpen } from "../visit/why-open.ts";
import type { QueueDocument } from "./documents.ts";
import { isolatedSince } from "./make-safe.ts";
import { queueDocument } from "./queue.ts";
import type { VisitsView } from "./visits-view.ts";

/** The queue with the names that people know sites by. */
export async function readVisits(actor: Actor): Promise<VisitsView> {
  authorise(actor, "visits.read");
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
      audit: may(actor, "fleet.read") ? await auditOffer(tx, queue) : { month: "", sharePct: 0, sites: [] },
      isolated: await isolatedSince(tx),
      onSite: await onSite(tx),
      unclosed: await unclosedVisits(tx),
      photoPlace: await accountSetting(tx, "photo_place"),
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

async function onSite(tx: Sql): Promise<VisitsView["onSite"]> {
  const now = Date.now();
  const grace = parameter(valuesOf(await currentParameters(tx)), "visit.checkout_grace");
  const people = (await visitsOnSite(tx, now)).flatMap(({ visitId, siteName, people: own }) => {
    const overdue = new Set(overduePeople(own, grace, now));
    return own
      .filter(({ state }) => state !== "planned" && state !== "checked_out")
      .map((person) => ({
        ...{ visitId, siteName, by: person.by, state: person.state, overdue: overdue.has(person) },
        leaveBy: person.leaveBy === null ? null : new Date(person.leaveBy).toISOString(),
      }));
  });
  return people.sort(
    (a, b) => Number(b.overdue) - Number(a.overdue) || (a.leaveBy ?? "").localeCompare(b.leaveBy ?? ""),
  );
}

/** Visits that are signed and not done, with why. */
async function unclosedVisits(tx: Sql): Promise<VisitsView["unclosed"]> {
  const rows = await tx<{ visit_id: string; site_id: string; name: string }[]>`
    SELECT DISTINCT e.visit_id, e.site_id, s.name FROM visit_edit e JOIN site s USING (account_id, site_id)
      LEFT JOIN visit v USING (account_id, visit_id)
    WHERE e.account_id = current_account() AND e.item = 'visit' AND e.field = 'signed'
      AND coalesce(v.status, 'planned') NOT IN ('done', 'cancelled') ORDER BY e.visit_id`;
  const out: VisitsView["unclosed"] = [];
  for (const row of rows) {
    const stops = standingStops(voltReadings(await visitEdits(tx, { siteId: row.site_id }))).map(sayStop);
    const why = whyOpen(signOffOf(await visitEdits(tx, { visitId: row.visit_id })), stops);
    if (why !== null) out.push({ visitId: row.visit_id, siteName: row.name, why });
  }
  return out;
}
