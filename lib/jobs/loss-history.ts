import { z } from "zod";
import { BONDING_CAUSES, CHECKS, type Check } from "../core/records.ts";
import type { BookResult } from "../reads/exposure-stored.ts";
import type { Sql } from "../store/transaction.ts";

const NOT_OF_BONDING: ReadonlySet<Check> = new Set([
  "insulation_resistance",
  "conductor_condition",
  "connector_condition",
  "enclosure_dry",
  "surge_protection",
]);
/** Checks of bonding and grounding. */
const BONDING_CHECKS = CHECKS.filter((check) => !NOT_OF_BONDING.has(check));
const MOST_MONTHS = 24;

type Defects = Omit<BookResult["defects"], "expected">;
interface History {
  defects: Defects;
  trend: BookResult["trend"];
}

const DefectRow = z.object({ book: z.string(), open: z.number(), put_right: z.number(), held: z.number() });
const MonthRow = z.object({
  book: z.string(),
  month: z.string(),
  sites: z.number(),
  expected_defects: z.number(),
  low: z.number(),
  high: z.number(),
});

/**
 * Defects found and put right, and what was expected at the end of each month, by book and over all of them. A failed
 * check counts once for its place, however often it failed; a month's figure takes each site's last score in it.
 */
export async function bookHistories(tx: Sql): Promise<{ of: (book: string | null) => History }> {
  const defects = z.array(DefectRow).parse([
    ...(await tx`
      WITH failed AS (
        SELECT i.site_id, i."check", i.section_id, i.inverter_id, max(i.inspected_at) AS at FROM inspection i
        WHERE i.account_id = current_account() AND i.outcome = 'fail' AND i."check" = ANY(${BONDING_CHECKS})
        GROUP BY 1, 2, 3, 4
      ), judged AS (
        SELECT f.site_id,
          EXISTS (SELECT 1 FROM inspection p WHERE p.account_id = current_account() AND p.site_id = f.site_id
            AND p."check" = f."check" AND p.section_id = f.section_id AND p.inverter_id = f.inverter_id
            AND p.outcome = 'pass' AND p.inspected_at > f.at)
          OR EXISTS (SELECT 1 FROM repair r WHERE r.account_id = current_account() AND r.site_id = f.site_id
            AND r.repaired_at >= f.at AND r.cause = ANY(${[...BONDING_CAUSES]})) AS is_right
        FROM failed f
      ), fixes AS (
        SELECT d.site_id, count(*) FILTER (WHERE f.fix ->> 'state' = 'held') AS held FROM site_detail d
        CROSS JOIN LATERAL jsonb_array_elements(d.detail -> 'fixes') AS f (fix)
        WHERE d.account_id = current_account() GROUP BY 1
      )
      SELECT s.portfolio AS book,
        coalesce(sum(j.open), 0)::int AS open, coalesce(sum(j.put_right), 0)::int AS put_right, coalesce(sum(x.held), 0)::int AS held
      FROM site s
      LEFT JOIN (SELECT site_id, count(*) FILTER (WHERE NOT is_right) AS open, count(*) FILTER (WHERE is_right) AS put_right
        FROM judged GROUP BY 1) j USING (site_id)
      LEFT JOIN fixes x USING (site_id)
      WHERE s.account_id = current_account() GROUP BY 1`),
  ]);
  const months = z.array(MonthRow).parse([
    ...(await tx`
      WITH last AS (
        -- Records up to midnight of the first are those of the month before.
        SELECT DISTINCT ON (site_id, date_trunc('month', as_of - interval '1 second')) site_id, to_char(as_of - interval '1 second', 'YYYY-MM') AS month,
          bonding_p, bonding_low, bonding_high
        FROM score WHERE account_id = current_account()
        ORDER BY site_id, date_trunc('month', as_of - interval '1 second'), as_of DESC, computed_at DESC
      )
      SELECT s.portfolio AS book, l.month, count(*)::int AS sites, sum(l.bonding_p) AS expected_defects,
        sum(l.bonding_low) AS low, sum(l.bonding_high) AS high
      FROM last l JOIN site s ON s.account_id = current_account() AND s.site_id = l.site_id
      GROUP BY 1, 2 ORDER BY 2, 1`),
  ]);
  return {
    of: (book) => {
      const own = <T extends { book: string }>(rows: readonly T[]) =>
        rows.filter((row) => book === null || row.book === book);
      const sum = (of: (row: z.infer<typeof DefectRow>) => number) => own(defects).reduce((t, row) => t + of(row), 0);
      const trend = new Map<string, BookResult["trend"][number]>();
      for (const row of own(months)) {
        const { month } = row;
        const to = trend.get(month) ?? { month, sites: 0, expected_defects: 0, low: 0, high: 0 };
        to.sites += row.sites;
        to.expected_defects += row.expected_defects;
        to.low += row.low;
        to.high += row.high;
        trend.set(month, to);
      }
      return {
        defects: { open: sum((r) => r.open), put_right: sum((r) => r.put_right), held: sum((r) => r.held) },
        trend: [...trend.values()].slice(-MOST_MONTHS),
      };
    },
  };
}
