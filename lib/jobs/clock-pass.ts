import { type ClockEvidence, type ClockOffset, type ClockReading, clockOffset } from "../correlate/clock-offset.ts";
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

export interface SourceClock {
  source: string;
  clock: ClockOffset;
}

/** Read every log source's clock from all of its sites. */
export async function readClocks(tx: Sql): Promise<SourceClock[]> {
  const rows = await tx<{ source: string; evidence: unknown }[]>`
    SELECT source, evidence FROM clock_evidence WHERE account_id = current_account() ORDER BY source, site_id`;
  const all = rows.map(({ source, evidence }) => ({ source, evidence: ClockEvidenceJson.parse(evidence) }));
  return [...bySource(all)].flatMap(([source, evidence]) => {
    const clock = clockOffset(evidence);
    return clock ? [{ source, clock }] : [];
  });
}

/**
 * Keep the clocks that were read. Those of sources whose sites are as they were at the last pass are not looked at: none of them
 * was scored since, and they have as many onsets together.
 */
export async function storeClocks(tx: Sql, found: readonly SourceClock[]): Promise<void> {
  const kept = await tx<{ source: string; onsets: number | null }[]>`
    SELECT source, (found->>'onsets')::float8 AS onsets FROM clock_source WHERE account_id = current_account()`;
  const scored = await tx<{ source: string }[]>`
    SELECT DISTINCT e.source FROM clock_evidence e JOIN standing st USING (account_id, site_id)
    WHERE e.account_id = current_account() AND NOT st.ranked`;
  const [before, anew] = [new Map(kept.map((k) => [k.source, k.onsets])), new Set(scored.map((row) => row.source))];
  const moved = found.filter(({ source, clock }) => anew.has(source) || before.get(source) !== clock.onsets);
  const sources = new Set(found.map((f) => f.source));
  const gone = kept.flatMap(({ source }) => (sources.has(source) ? [] : [source]));
  if (gone.length > 0)
    await tx`DELETE FROM clock_source WHERE account_id = current_account() AND source = ANY(${gone})`;
  await tx`
    INSERT INTO clock_source AS t (account_id, source, found)
    SELECT current_account(), source, found::jsonb
    FROM unnest(${moved.map((f) => f.source)}::text[], ${moved.map((f) => JSON.stringify(f.clock))}::text[]) AS new(source, found)
    ON CONFLICT (account_id, source) DO UPDATE SET found = excluded.found WHERE t.found IS DISTINCT FROM excluded.found`;
}

/** What is proposed for the clock of each site's log: hours by site, where anything is. */
export async function clockHours(tx: Sql, found: readonly SourceClock[]): Promise<Map<string, number>> {
  const proposed = found.flatMap(({ source, clock }) => {
    const hours = proposedHours(clock.proposal);
    return hours === null ? [] : [{ source, hours }];
  });
  if (proposed.length === 0) return new Map();
  const rows = await tx<{ site_id: string; hours: number }[]>`
    SELECT DISTINCT ON (e.site_id) e.site_id, p.hours
    FROM clock_evidence e JOIN unnest(${proposed.map((p) => p.source)}::text[], ${proposed.map((p) => p.hours)}::float8[])
      AS p(source, hours) USING (source)
    WHERE e.account_id = current_account() ORDER BY e.site_id, source`;
  return new Map(rows.map((row) => [row.site_id, row.hours]));
}
