import "server-only";
import { z } from "zod";
import { authorise, may } from "../core/permissions.ts";
import { parameter, valuesOf } from "../diagnose/parameters.ts";
import { auditCount } from "../dispatch/audit-offer.ts";
import { accountSetting } from "../store/account-settings.ts";
import type { Actor } from "../store/actor.ts";
import { visitsOnSite } from "../store/on-site.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { siteHolds } from "../store/site-holds.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { visitEdits } from "../store/visit-log.ts";
import { overduePeople } from "../visit/check-out.ts";
import { sayStop } from "../visit/say-stop.ts";
import { signOffOf } from "../visit/signature.ts";
import { standingStops } from "../visit/stop-rule.ts";
import { voltReadings } from "../visit/visit-records.ts";
import { whyOpen } from "../visit/why-open.ts";
import { isolatedSince } from "./make-safe.ts";
import { queueHead, rankedVisit } from "./queue.ts";
import { Proposal } from "./standing-rows.ts";
import { VISITS_PAGE, VisitsQuery, type VisitsView } from "./visits-view.ts";

const NamedRow = z.object({
  site_id: z.string(),
  name: z.string(),
  portfolio: z.string(),
  rank: z.number().nullable(),
  proposal: Proposal,
  ...{ p: z.number(), low: z.number(), high: z.number(), cause: z.string() },
});

/** A page of the queue and of the watch list, with the names that people know sites by, and what else goes on at visits. */
export async function readVisits(actor: Actor, query: VisitsQuery = VisitsQuery.parse({})): Promise<VisitsView> {
  authorise(actor, "visits.read");
  return readTransaction(actor, async (tx) => {
    const head = await queueHead(tx);
    const queued = await queuedByUrgency(tx);
    const { visits, nextRank } = await visitsFrom(tx, query.from);
    const watched = await watchedSites(tx);
    return {
      ...head,
      ...{ visits, queued, nextRank, watched },
      ...(await watchAfter(tx, query.watch)),
      audit: may(actor, "fleet.read")
        ? await auditOffer(tx, { asOf: head.as_of, queued: queued.reduce((sum, { n }) => sum + n, 0), watched })
        : { month: "", sharePct: 0, sites: [] },
      isolated: await isolatedSince(
        tx,
        visits.map((visit) => visit.site_id),
      ),
      onSite: await onSite(tx),
      unclosed: await unclosedVisits(tx),
      photoPlace: await accountSetting(tx, "photo_place"),
    };
  });
}

/** Ranks run through make_safe, urgent and planned in this order, so each begins where the one before ends. */
async function queuedByUrgency(tx: Sql): Promise<VisitsView["queued"]> {
  const rows = await tx<VisitsView["queued"]>`
    SELECT urgency, count(*)::int AS n, min(rank)::int AS "from" FROM standing
    WHERE account_id = current_account() AND rank IS NOT NULL GROUP BY urgency ORDER BY min(rank)`;
  return rows.map(({ urgency, n, from }) => ({ urgency, n, from }));
}

const namedColumns = (tx: Sql) => tx`site_id, name, portfolio, rank, proposal, bonding_p AS p, bonding_low AS low,
  bonding_high AS high, leading_cause AS cause`;

async function visitsFrom(tx: Sql, from: number): Promise<Pick<VisitsView, "visits" | "nextRank">> {
  const found = await tx`SELECT ${namedColumns(tx)} FROM standing
    WHERE account_id = current_account() AND rank >= ${from} ORDER BY rank, site_id LIMIT ${VISITS_PAGE + 1}`;
  const rows = z.array(NamedRow).parse([...found]);
  const holds = await siteHolds(tx);
  return {
    visits: rows.slice(0, VISITS_PAGE).flatMap((row) =>
      rankedVisit(row, holds).map((visit) => ({
        ...visit,
        siteName: row.name,
        portfolio: row.portfolio,
        bonding: { p: row.p, low: row.low, high: row.high },
        leadingCause: row.cause,
      })),
    ),
    nextRank: rows[VISITS_PAGE]?.rank ?? null,
  };
}

async function watchedSites(tx: Sql): Promise<number> {
  const [row] = await tx<{ n: number }[]>`
    SELECT count(*)::int AS n FROM standing WHERE account_id = current_account() AND urgency = 'watch'`;
  return row?.n ?? 0;
}

async function watchAfter(tx: Sql, after: string): Promise<Pick<VisitsView, "watch" | "nextWatch">> {
  const found = await tx`SELECT ${namedColumns(tx)} FROM standing
    WHERE account_id = current_account() AND urgency = 'watch' AND site_id > ${after} ORDER BY site_id LIMIT ${VISITS_PAGE + 1}`;
  const rows = z.array(NamedRow).parse([...found]);
  const shown = rows.slice(0, VISITS_PAGE);
  return {
    watch: shown.flatMap(({ site_id, name, proposal }) =>
      proposal.watch
        ? [{ siteId: site_id, siteName: name, reason: proposal.watch.reason, wouldChange: proposal.watch.would_change }]
        : [],
    ),
    nextWatch: rows.length > VISITS_PAGE ? (shown.at(-1)?.site_id ?? null) : null,
  };
}

/** The lot falls by month and site alone, so it neither follows what is believed of a site nor moves while one looks. */
async function auditOffer(
  tx: Sql,
  { asOf, queued, watched }: { asOf: string | null; queued: number; watched: number },
): Promise<VisitsView["audit"]> {
  const share = parameter(valuesOf(await currentParameters(tx)), "audit.share");
  const month = (asOf ?? "").slice(0, 7);
  const count = auditCount(queued, share, watched);
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
