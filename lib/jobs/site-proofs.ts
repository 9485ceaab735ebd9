import type { Instant, LocalDay, SiteRecords } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { noticeStates, type SiteProof } from "../coverage/answer-chances.ts";
import { type CompletenessFacts, claimSince, evidenceItems } from "../coverage/completeness-items.ts";
import { conditionFindings } from "../coverage/conditions.ts";
import { siteDeadlines } from "../coverage/deadlines.ts";
import { bySite, noticesOf, papersOf } from "../store/coverage-rows.ts";
import { clocksProved } from "../store/log-clocks.ts";
import { proofRows } from "../store/proof-rows.ts";
import type { Sql } from "../store/transaction.ts";

/** What each site can show of evidence, but for the time from which it counts. */
export async function completenessFacts(
  tx: Sql,
  records: ReadonlyMap<string, CompletenessFacts["records"]>,
): Promise<Map<string, Omit<CompletenessFacts, "since">>> {
  const rows = await proofRows(tx, [...records.keys()]);
  return new Map(
    [...rows].map(([siteId, { clocks, ...own }]) => [
      siteId,
      {
        ...own,
        records: records.get(siteId) as CompletenessFacts["records"],
        clockProved: clocksProved(clocks),
      },
    ]),
  );
}

/**
 * What each site can show a carrier: evidence, conditions, notices. Papers, photos and notices are those on file now.
 * @param records without faults, telemetry and readings will do
 */
export async function siteProofs(
  tx: Sql,
  records: ReadonlyMap<string, SiteRecords>,
  asOf: Instant,
): Promise<Map<string, SiteProof>> {
  const ids = [...records.keys()];
  const papers = bySite(await papersOf(tx, ids));
  const sent = bySite(await noticesOf(tx, ids));
  const facts = await completenessFacts(tx, records);
  return new Map(
    [...records].map(([siteId, own]) => {
      const today: LocalDay = localDay(asOf, own.site.timeZone);
      const claims = own.claims ?? [];
      const deadlines = siteDeadlines({
        coverage: own.coverage,
        suspicion: null,
        discoveries: claims,
        sent: (sent.get(siteId) ?? []).map((n) => ({
          coverageId: n.coverage_id,
          discoveryId: n.discovery_id,
          kind: n.kind,
          sentOn: n.sent_on,
        })),
        today,
      });
      const evidence = facts.get(siteId) as Omit<CompletenessFacts, "since">;
      return [
        siteId,
        {
          items: evidenceItems({ ...evidence, since: claimSince(claims) }),
          conditions: conditionFindings({
            records: own,
            papers: (papers.get(siteId) ?? []).map((p) => ({ kind: p.kind, fileName: p.file_name, page: p.page })),
            asOf,
          }),
          notices: noticeStates(deadlines),
        },
      ];
    }),
  );
}
