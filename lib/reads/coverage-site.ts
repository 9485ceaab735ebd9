import "server-only";
import { authorise } from "../core/permissions.ts";
import { localDay } from "../core/zoned-time.ts";
import { type Completeness, evidenceCompleteness } from "../coverage/completeness.ts";
import { claimSince, evidenceItems } from "../coverage/completeness-items.ts";
import { conditionFindings } from "../coverage/conditions.ts";
import { contractTroubles, twiceTroubles } from "../coverage/contract-troubles.ts";
import { SUSPICION_PROBABILITY, suspectedSince } from "../coverage/deadlines-suspicion.ts";
import { sitesTwice } from "../coverage/one-site.ts";
import { accountMoney, bookDeadlines, siteRecovery } from "../jobs/coverage-deadlines.ts";
import { completenessFacts } from "../jobs/site-proofs.ts";
import type { Actor } from "../store/actor.ts";
import {
  discoveriesOf,
  noticesOf,
  type Paper,
  papersOf,
  partsOf,
  sharedSerials,
  suspectHistories,
} from "../store/coverage-rows.ts";
import { siteRecords } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { linksOf, paperLine, partLine } from "./coverage-lines.ts";
import type { SiteCoverageView } from "./coverage-view.ts";

/** Everything about the contracts of one site; null when there is no such site. */
export async function readSiteCoverage(actor: Actor, siteId: string, now: number): Promise<SiteCoverageView | null> {
  authorise(actor, "coverage.read");
  return readTransaction(actor, (tx) => siteCoverage(tx, siteId, now));
}

export async function siteCoverage(tx: Sql, siteId: string, now: number): Promise<SiteCoverageView | null> {
  const records = (await siteRecords(tx, [siteId])).get(siteId);
  if (!records) return null;
  const { site } = records;
  const papers = await papersOf(tx, [siteId]);
  const parts = await partsOf(tx, siteId);
  const deadlines = await bookDeadlines(tx, [siteId], now);
  const history = (await suspectHistories(tx, [siteId], SUSPICION_PROBABILITY)).get(siteId) ?? [];
  const facts = (await completenessFacts(tx, new Map([[siteId, records]]))).get(siteId);
  if (!facts) throw new RangeError("siteCoverage requires the facts of the site it asked for");
  const { recovered, weights, gains } = await siteRecovery(tx, siteId, now);
  const complete = (since: number | null): Completeness =>
    evidenceCompleteness(evidenceItems({ ...facts, since }), recovered, weights);
  const discoveries = await discoveriesOf(tx, [siteId]);
  return {
    site: { siteId, name: site.name, portfolio: site.portfolio, timeZone: site.timeZone },
    currency: (await accountMoney(tx)).accountCurrency,
    today: localDay(now, site.timeZone),
    suspicion: suspectedSince(history, site.timeZone),
    contracts: records.coverage.map((c) => ({
      ...c,
      siteName: site.name,
      portfolio: site.portfolio,
      papers: papers.filter((p) => p.coverage_id === c.coverageId).map(paperLine),
    })),
    troubles: [
      ...twiceTroubles(sitesTwice(await sharedSerials(tx))).filter((t) => t.siteId === siteId),
      ...contractTroubles(records.coverage),
    ],
    deadlines,
    discoveries: discoveries.map((d) => ({
      discoveryId: d.discovery_id,
      what: d.what,
      reason: d.reason,
      by: d.discovered_by,
      on: d.discovered_on,
      at: d.discovered_at.toISOString(),
      ended:
        d.ended_how === null
          ? null
          : {
              how: d.ended_how,
              by: d.ended_by ?? "",
              at: d.ended_at?.toISOString() ?? "",
              reason: d.ended_reason ?? "",
            },
      completeness: d.ended_how === null ? complete(claimSince([{ discoveredOn: d.discovered_on }])) : null,
    })),
    notices: (await noticesOf(tx, [siteId])).map((n) => ({
      noticeId: n.notice_id,
      coverageId: n.coverage_id,
      discoveryId: n.discovery_id,
      kind: n.kind,
      sentOn: n.sent_on,
      sentTo: n.sent_to,
      method: n.method,
      documentId: n.document_id,
      recordedBy: n.recorded_by,
    })),
    conditions: conditionFindings({ records, papers: papers.map(onFile), asOf: now }).map((finding) => ({
      ...finding,
      worth: gains?.gains.find((g) => g.what === "condition" && g.name === finding.condition)?.worth ?? null,
    })),
    completeness: complete(null),
    worthSays:
      recovered === null
        ? "What an item is worth cannot be said: no contract counts today, or there is no score yet."
        : "Worth: how much the recovery expected over the coming year rises with that one item, reckoned as of today. Weights are engineering judgement and stand among the parameters.",
    papers: papers.map(paperLine),
    parts: parts.map(partLine),
    links: await linksOf(tx, { siteId }, now),
  };
}

const onFile = (p: Paper) => ({ kind: p.kind, fileName: p.file_name, page: p.page });
