import { z } from "zod";
import { CAUSES, type Cause, type Instant, type SiteRecords } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import type { VisitOutcome } from "../diagnose/learning.ts";
import { DEFAULT_PARAMETERS } from "../diagnose/parameters.ts";
import { confirmedVisits } from "../diagnose/visit-outcomes.ts";
import { type StatedBefore, statedBefore } from "./confirmed-records.ts";
import type { Sql } from "./transaction.ts";

const Causes = z.array(z.enum(CAUSES));
const OutcomeRow = z
  .object({
    site_id: z.string(),
    installer: z.string().nullable(),
    found: Causes,
    looked_for: Causes,
    stated: z.record(z.enum(CAUSES), z.number()),
  })
  .transform((r) => ({
    siteId: r.site_id,
    installer: r.installer,
    found: r.found,
    lookedFor: r.looked_for,
    stated: r.stated,
  }));

/**
 * Keep what the confirmed visits of sites found beside what was stated of it before, for the sites that share its
 * installer or hardware. What such sites had themselves added to the statement is taken out, so nothing goes round.
 */
export async function writeOutcomes(tx: Sql, sites: readonly SiteRecords[]): Promise<void> {
  const siteIds = sites.map(({ site }) => site.siteId);
  const visits = sites.flatMap(({ site: { siteId }, inspections, repairs }) =>
    confirmedVisits({ siteId, inspections, repairs }, DEFAULT_PARAMETERS).map((visit, place) => ({ ...visit, place })),
  );
  const stated = visits.length > 0 ? await statedBefore(tx, visits) : new Map<number, StatedBefore>();
  await tx`DELETE FROM site_outcome WHERE account_id = current_account() AND site_id = ANY(${siteIds})`;
  for (const [k, { siteId, place, ...visit }] of visits.entries()) {
    const before = stated.get(k);
    if (!before) continue;
    const alone = Object.fromEntries(
      CAUSES.map((cause) => {
        const p = Math.min(1 - 1e-9, Math.max(1e-9, before.causes[cause]));
        return [cause, expit(logit(p) - (before.shared?.[cause] ?? 0))];
      }),
    ) as Record<Cause, number>;
    await tx`INSERT INTO site_outcome (account_id, site_id, place, at, found, looked_for, stated)
      VALUES (current_account(), ${siteId}, ${place}, ${new Date(visit.at)}, ${[...visit.found]}, ${[...visit.lookedFor]},
        ${tx.json(alone as never)})`;
  }
}

/**
 * Outcomes up to an instant by site, and the hardware batches of every site.
 * @param siteIds only what bears on these: outcomes of sites that share an installer or a batch with them
 */
export async function sharedOutcomes(
  tx: Sql,
  asOf: Instant,
  siteIds?: readonly string[],
): Promise<{ outcomes: (VisitOutcome & { installer: string | null })[]; batchesOf: Map<string, string[]> }> {
  const asked = siteIds === undefined ? null : [...siteIds];
  const rows = await tx`
    SELECT o.site_id, s.installer, o.found, o.looked_for, o.stated FROM site_outcome o JOIN site s USING (account_id, site_id)
    WHERE o.account_id = current_account() AND o.at <= ${new Date(asOf)}
      ${asked ? tx`AND o.site_id IN (${sharing(tx, asked)})` : tx``} ORDER BY o.site_id, o.place`;
  const outcomes = z.array(OutcomeRow).parse([...rows]);
  if (outcomes.length === 0) return { outcomes, batchesOf: new Map() };
  const named = asked ? [...new Set([...asked, ...outcomes.map((one) => one.siteId)])] : null;
  const batches = await tx<{ site_id: string; batches: string[] }[]>`
    SELECT site_id, array_agg(DISTINCT hardware_batch ORDER BY hardware_batch) AS batches FROM section
    WHERE account_id = current_account() AND hardware_batch IS NOT NULL ${named ? tx`AND site_id = ANY(${named})` : tx``} GROUP BY site_id`;
  return { outcomes, batchesOf: new Map(batches.map((row) => [row.site_id, row.batches])) };
}

/** Sites that share an installer or a batch of hardware with some. */
const sharing = (tx: Sql, siteIds: string[]) => tx`
  SELECT other.site_id FROM site own JOIN site other ON other.account_id = own.account_id AND other.installer = own.installer
    WHERE own.account_id = current_account() AND own.site_id = ANY(${siteIds})
  UNION SELECT other.site_id FROM section own JOIN section other ON other.account_id = own.account_id AND other.hardware_batch = own.hardware_batch
    WHERE own.account_id = current_account() AND own.site_id = ANY(${siteIds})`;
