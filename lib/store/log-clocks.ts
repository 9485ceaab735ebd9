import { clockSource } from "../correlate/correct-clock.ts";
import { clockCorrections, clocksFound } from "./clock.ts";
import type { Sql } from "./transaction.ts";

/** Fewer onsets say too little of a clock to speak of a test. */
const TESTED_ONSETS = 10;

/** How the times of one log source are to be read. */
export interface LogClock {
  source: string;
  /** What its clock ran ahead, as accepted by a person; null: its times are used as logged. */
  correction: {
    offsetHours: number;
    summerHours: number;
    acceptedBy: string;
    acceptedAt: number;
    reason: string;
  } | null;
  /** A correction that is proposed and not accepted. */
  proposal: { offsetHours: number; summerHours: number } | null;
  /** Enough onsets were there to hold the clock against sun and water. */
  tested: boolean;
}

/** How the clock of each log source of some sites is read; sites without an inverter are absent. */
export async function logClocksOf(tx: Sql, siteIds: readonly string[]): Promise<Map<string, LogClock[]>> {
  const rows = await tx<{ site_id: string; log_source: string | null }[]>`
    SELECT DISTINCT site_id, log_source FROM inverter
    WHERE account_id = current_account() AND site_id = ANY(${[...siteIds]}) ORDER BY site_id, log_source`;
  const named = rows.map((row) => ({ siteId: row.site_id, source: clockSource(row.site_id, row.log_source) }));
  const accepted = await clockCorrections(tx);
  const found = await clocksFound(tx, [...new Set(named.map((n) => n.source))]);
  const out = new Map<string, LogClock[]>();
  for (const { siteId, source } of named) {
    const clock = {
      source,
      correction: accepted.get(source) ?? null,
      proposal: found.get(source)?.proposal ?? null,
      tested: (found.get(source)?.onsets ?? 0) >= TESTED_ONSETS,
    };
    const list = out.get(siteId);
    if (list) list.push(clock);
    else out.set(siteId, [clock]);
  }
  return out;
}

/** How the clock of each log source of a site is read. */
export async function logClocks(tx: Sql, siteId: string): Promise<LogClock[]> {
  return (await logClocksOf(tx, [siteId])).get(siteId) ?? [];
}

/** Whether every clock holds: a correction accepted, or a test with nothing against it. Null: not tested. */
export function clocksProved(clocks: readonly LogClock[]): boolean | null {
  if (clocks.some((c) => c.proposal !== null)) return false;
  return clocks.length > 0 && clocks.every((c) => c.correction !== null || c.tested) ? true : null;
}
