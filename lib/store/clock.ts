import { z } from "zod";
import type { ClockCorrection } from "../correlate/correct-clock.ts";
import type { Sql } from "./transaction.ts";

export const ClockEvidenceJson = z.object({
  onsets: z.number(),
  log: z.array(z.number()),
  sun: z.array(z.number()),
  dark: z.array(z.number()),
});

const Reading = z.object({ offsetHours: z.number(), summerHours: z.number() });

/** A clock as the fleet pass read it, stored as it stands. */
export const ClockFound = Reading.extend({
  probability: z.number(),
  right: z.number(),
  byOffset: z.array(z.object({ offsetHours: z.number(), probability: z.number() })),
  onsets: z.number(),
  darkAsLogged: z.number(),
  darkAsRead: z.number(),
  scanHours: z.array(z.number()),
  proposal: Reading.nullable(),
});
export type ClockFound = z.infer<typeof ClockFound>;

const CorrectionRow = z.object({
  source: z.string(),
  offset_hours: z.number(),
  summer_hours: z.number(),
  scan_hours: z.array(z.number()),
  reason: z.string(),
  person: z.string(),
  accepted_at: z.date(),
});

export interface StoredCorrection extends ClockCorrection {
  reason: string;
}

/** The correction in force for each log source of the account: the newest that was not withdrawn. */
export async function clockCorrections(tx: Sql): Promise<Map<string, StoredCorrection>> {
  const rows = await tx`
    SELECT DISTINCT ON (source) source, offset_hours, summer_hours, scan_hours, reason, person, accepted_at
    FROM clock_correction WHERE account_id = current_account() AND withdrawn_at IS NULL ORDER BY source, accepted_at DESC`;
  return new Map(
    z
      .array(CorrectionRow)
      .parse([...rows])
      .map((row) => [
        row.source,
        {
          offsetHours: row.offset_hours,
          summerHours: row.summer_hours,
          scanHours: row.scan_hours,
          reason: row.reason,
          acceptedBy: row.person,
          acceptedAt: row.accepted_at.getTime(),
        },
      ]),
  );
}

/** How the clocks of some log sources are read now; sources without onsets are absent. */
export async function clocksFound(tx: Sql, sources: readonly string[]): Promise<Map<string, ClockFound>> {
  const rows = await tx<{ source: string; found: unknown }[]>`
    SELECT source, found FROM clock_source WHERE account_id = current_account() AND source = ANY(${[...sources]})`;
  return new Map(rows.map((row) => [row.source, ClockFound.parse(row.found)]));
}
