import { type ClockEvidence, type ClockReading, clockOffset } from "../correlate/clock-offset.ts";
import { clockSource } from "../correlate/correct-clock.ts";
import { ClockEvidenceJson } from "../store/clock.ts";
import type { Sql } from "../store/transaction.ts";
import type { ScoredSite } from "./score-site.ts";

/** The contract's `clock_offset_hours`: what is proposed, in hours; a log that only misses summer time gives that. */
export function proposedHours(proposal: ClockReading | null): number | null {
  return proposal === null ? null : proposal.offsetHours || proposal.summerHours;
}

/** What a scored site says of its clocks, by log source. */
export function clockEvidenceOf({ correlation, records }: ScoredSite): { source: string; evidence: ClockEvidence }[] {
  return correlation.clock.map(({ source, evidence }) => ({
    source: clockSource(records.site.siteId, source),
    evidence,
  }));
}

function bySource(rows: readonly { source: string; evidence: ClockEvidence }[]): Map<string, ClockEvidence[]> {
  const out = new Map<string, ClockEvidence[]>();
  for (const { source, evidence } of rows) {
    const own = out.get(source);
    if (own) own.push(evidence);
    else out.set(source, [evidence]);
  }
  return out;
}

/** Offsets proposed by source, pooled over the sites that share one. */
export function pooledProposals(sites: readonly ScoredSite[]): Map<string, number> {
  const out = new Map<string, number>();
  for (const [source, evidence] of bySource(sites.flatMap(clockEvidenceOf))) {
    const hours = proposedHours(clockOffset(evidence)?.proposal ?? null);
    if (hours !== null) out.set(source, hours);
  }
  return out;
}

/** Read every log source's clock from all of its sites, and put what is proposed beside each site's score. */
export async function readClocks(tx: Sql): Promise<void> {
  const rows = await tx<{ source: string; evidence: unknown }[]>`
    SELECT source, evidence FROM clock_evidence WHERE account_id = current_account() ORDER BY source, site_id`;
  const all = rows.map(({ source, evidence }) => ({ source, evidence: ClockEvidenceJson.parse(evidence) }));
  const found = [...bySource(all)].flatMap(([source, evidence]) => {
    const clock = clockOffset(evidence);
    return clock ? [{ source, clock }] : [];
  });
  await tx`DELETE FROM clock_source WHERE account_id = current_account() AND NOT source = ANY(${found.map((f) => f.source)})`;
  for (const { source, clock } of found)
    await tx`INSERT INTO clock_source (account_id, source, found) VALUES (current_account(), ${source}, ${tx.json(clock as never)})
      ON CONFLICT (account_id, source) DO UPDATE SET found = excluded.found`;
  const proposed = found.flatMap(({ source, clock }) => {
    const hours = proposedHours(clock.proposal);
    return hours === null ? [] : [{ source, hours }];
  });
  await tx`
    UPDATE standing st SET clock_offset_hours = new.hours
    FROM (SELECT s.site_id, (SELECT p.hours FROM clock_evidence e
            JOIN unnest(${proposed.map((p) => p.source)}::text[], ${proposed.map((p) => p.hours)}::float8[]) AS p(source, hours) USING (source)
            WHERE e.account_id = s.account_id AND e.site_id = s.site_id ORDER BY p.source LIMIT 1) AS hours
          FROM standing s WHERE s.account_id = current_account()) new
    WHERE st.account_id = current_account() AND st.site_id = new.site_id
      AND st.clock_offset_hours IS DISTINCT FROM new.hours`;
}
