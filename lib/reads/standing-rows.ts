import "server-only";
import { z } from "zod";
import { packStrip } from "../core/packed-strip.ts";
import { CAUSES } from "../core/records.ts";
import { DRIVERS } from "../correlate/site-correlation.ts";
import { stillHeld } from "../store/site-holds.ts";
import type { Sql } from "../store/transaction.ts";
import { QueueVisit } from "./documents.ts";
import type { RankedSiteRow } from "./ranked-sites-view.ts";

/** What scoring proposes for a site: a visit (its rank is the fleet's to give) or a place on the watch list. */
export const Proposal = z.object({
  visit: QueueVisit.omit({ rank: true }).nullable(),
  watch: z.object({ reason: z.string(), would_change: z.string() }).nullable(),
  /** Terms of the visit's value; those stored before there were any have none. */
  terms: z
    .array(
      z.object({
        ...{ term: z.string(), amount: z.number(), unit: z.string(), counted: z.boolean(), says: z.string() },
        band: z.object({ low: z.number(), high: z.number() }).optional(),
      }),
    )
    .default([]),
});
export type Proposal = z.infer<typeof Proposal>;

const Strip = z.object({
  endDay: z.string(),
  rainMm: z.array(z.number().nullable()),
  dewHours: z.array(z.number().nullable()),
  onsets: z.array(z.number()),
});

/** A strip as it is stored: packed, or as arrays by an earlier release until its site is scored anew. */
const packedOf = (stored: string): string =>
  stored.startsWith("{") ? packStrip(Strip.parse(JSON.parse(stored))) : stored;

export const StandingRow = z.object({
  site_id: z.string(),
  name: z.string(),
  portfolio: z.string(),
  rank: z.number().nullable(),
  urgency: z.enum(["make_safe", "urgent", "planned", "watch"]),
  bonding_p: z.number(),
  bonding_low: z.number(),
  bonding_high: z.number(),
  energized_p: z.number(),
  energized_low: z.number(),
  energized_high: z.number(),
  leading_cause: z.enum(CAUSES),
  driver: z.enum(DRIVERS),
  rate_ratio: z.number().nullable(),
  q_value: z.number().nullable(),
  wet_episodes: z.number(),
  dry_episodes: z.number(),
  last_inspected_day: z.string().nullable(),
  strip: z.string().transform(packedOf),
  held_until: z.string().nullable(),
  hold_reason: z.string().nullable(),
  held_by: z.string().nullable(),
});
export type StandingRow = z.infer<typeof StandingRow>;

/** Columns of StandingRow; the day of the last inspection is the site's own. */
export const standingColumns = (tx: Sql) => tx`
  st.site_id, st.name, st.portfolio, st.rank, st.urgency, st.bonding_p, st.bonding_low, st.bonding_high,
  st.energized_p, st.energized_low, st.energized_high, st.leading_cause, st.driver, st.rate_ratio,
  st.q_value, st.wet_episodes, st.dry_episodes, to_char(st.last_inspected AT TIME ZONE s.time_zone, 'YYYY-MM-DD') AS last_inspected_day,
  st.strip #>> '{}' AS strip, to_char(h.held_until, 'YYYY-MM-DD') AS held_until, h.reason AS hold_reason, h.held_by`;

/** Where these columns come from. */
export const standingSource = (tx: Sql) => tx`standing st JOIN site s USING (account_id, site_id)
  LEFT JOIN site_hold h ON h.account_id = st.account_id AND h.site_id = st.site_id AND ${stillHeld(tx)}`;

export function rankedRow(row: StandingRow): RankedSiteRow {
  return {
    siteId: row.site_id,
    name: row.name,
    portfolio: row.portfolio,
    rank: row.rank,
    urgency: row.urgency,
    bonding: { p: row.bonding_p, low: row.bonding_low, high: row.bonding_high },
    energized: { p: row.energized_p, low: row.energized_low, high: row.energized_high },
    leadingCause: row.leading_cause,
    driver: row.driver,
    rateRatio: row.rate_ratio,
    qValue: row.q_value,
    wetEpisodes: row.wet_episodes,
    dryEpisodes: row.dry_episodes,
    lastInspected: row.last_inspected_day,
    strip: row.strip,
    hold:
      row.held_until === null ? null : { until: row.held_until, reason: row.hold_reason ?? "", by: row.held_by ?? "" },
  };
}
