import "server-only";
import { clockSource } from "../correlate/correct-clock.ts";
import { clockCorrections, clocksFound } from "../store/clock.ts";
import type { Sql } from "../store/transaction.ts";

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

/** How the clock of each log source of a site is read. */
export async function logClocks(tx: Sql, siteId: string): Promise<LogClock[]> {
  const rows = await tx<{ log_source: string | null }[]>`SELECT DISTINCT log_source FROM inverter
    WHERE account_id = current_account() AND site_id = ${siteId} ORDER BY log_source`;
  const sources = rows.map((row) => clockSource(siteId, row.log_source));
  const accepted = await clockCorrections(tx);
  const found = await clocksFound(tx, sources);
  return sources.map((source) => {
    const own = accepted.get(source);
    return {
      source,
      correction: own ?? null,
      proposal: found.get(source)?.proposal ?? null,
      tested: (found.get(source)?.onsets ?? 0) >= TESTED_ONSETS,
    };
  });
}
