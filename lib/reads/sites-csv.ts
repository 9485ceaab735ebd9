import "server-only";
import { z } from "zod";
import { csvLine, guarded } from "../contract/csv-records.ts";
import { type StripDays, unpackStrip } from "../core/packed-strip.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { readTransaction } from "../store/transaction.ts";
import { filters, ORDERS } from "./ranked-sites.ts";
import type { RankedSitesQuery } from "./ranked-sites-query.ts";
import { NATURAL_ORDER, type RankedSiteRow, type SiteColumn } from "./ranked-sites-view.ts";
import { rankedRow, StandingRow, standingColumns, standingSource } from "./standing-rows.ts";

/** Rows that come from the server at once: a row carries a year by day, and only its line is kept. */
const ROWS_AT_ONCE = 500;

/** The strip unpacked once, where a column asks for it. */
type Row = Omit<RankedSiteRow, "strip"> & { strip: StripDays };
const rowOf = (row: RankedSiteRow): Row => ({ ...row, strip: unpackStrip(row.strip) });
const figure = (n: number | null) => (n === null ? "" : String(Number(n.toPrecision(6))));

/** Headings and cells of each column that somebody can choose; a probability never goes out without its interval. */
const CELLS: Record<SiteColumn, readonly [string, (row: Row) => string][]> = {
  urgency: [
    ["urgency", (row) => row.urgency],
    ["held_until", (row) => row.hold?.until ?? ""],
    ["hold_reason", (row) => row.hold?.reason ?? ""],
  ],
  bonding: [
    ["bonding_defect_p", (row) => figure(row.bonding.p)],
    ["bonding_defect_low", (row) => figure(row.bonding.low)],
    ["bonding_defect_high", (row) => figure(row.bonding.high)],
  ],
  energized: [
    ["energized_metal_p", (row) => figure(row.energized.p)],
    ["energized_metal_low", (row) => figure(row.energized.low)],
    ["energized_metal_high", (row) => figure(row.energized.high)],
  ],
  cause: [["leading_cause", (row) => row.leadingCause]],
  wet_dry: [
    ["driver", (row) => row.driver],
    ["rate_ratio", (row) => figure(row.rateRatio)],
    ["wet_episodes", (row) => String(row.wetEpisodes)],
    ["dry_episodes", (row) => String(row.dryEpisodes)],
  ],
  strip: [
    ["rain_12_months_mm", ({ strip }) => figure(strip.rainMm.reduce<number>((sum, mm) => sum + (mm ?? 0), 0))],
    ["days_without_rain_observation", ({ strip }) => String(strip.rainMm.filter((mm) => mm === null).length)],
    ["ground_faults_12_months", ({ strip }) => String(strip.onsets.reduce((sum, n) => sum + n, 0))],
  ],
  inspected: [["last_inspected", (row) => row.lastInspected ?? ""]],
  portfolio: [["portfolio", (row) => row.portfolio]],
};

/** The list as filtered and sorted, with the columns that are shown, as CSV. */
export async function sitesCsv(
  actor: Actor,
  query: RankedSitesQuery,
  columns: readonly SiteColumn[],
): Promise<Response> {
  authorise(actor, "sites.read");
  await noteSeen(actor, "sites.export", "ranked sites");
  const cells = columns.flatMap((column) => CELLS[column]);
  const lineOf = (row: Row) => [
    row.siteId,
    row.name,
    row.rank === null ? "" : String(row.rank),
    ...cells.map(([, of]) => of(row)),
  ];
  const parts = [csvLine(["site_id", "name", "rank", ...cells.map(([name]) => name)])];
  await readTransaction(actor, async (tx) => {
    const order = ORDERS[query.sort][query.order || NATURAL_ORDER[query.sort]];
    const found = tx`SELECT ${standingColumns(tx)} FROM ${standingSource(tx)}
      WHERE ${filters(tx, query)} ORDER BY ${tx.unsafe(order)}, st.site_id`;
    for await (const rows of found.cursor(ROWS_AT_ONCE)) {
      const shown = z.array(StandingRow).parse(rows).map(rankedRow).map(rowOf);
      parts.push(shown.map((row) => csvLine(lineOf(row).map(guarded))).join(""));
    }
  });
  return new Response(parts.join(""), {
    headers: {
      "content-type": "text/csv; charset=utf-8",
      "content-disposition": 'attachment; filename="ranked-sites.csv"',
      "cache-control": "no-store",
    },
  });
}
