import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { FIXES_PAGE, type FixLine, type OpenFixesView } from "./fixes-view.ts";
import { StoredFix } from "./site-detail.ts";

const MOST_OF_SITE = 500;

const Row = z.object({ site_id: z.string(), name: z.string(), fix: StoredFix });

function line({ site_id, name, fix }: z.infer<typeof Row>): FixLine {
  const { sectionId, inverterId, expectedBy, ...rest } = fix;
  const place = sectionId !== null ? `section ${sectionId}` : inverterId !== null ? `inverter ${inverterId}` : null;
  const date = expectedBy === null ? null : new Date(expectedBy).toISOString();
  return { ...rest, siteId: site_id, siteName: name, place, expectedBy: date };
}

/** @param part of which site, or of all that are not known to have held a page */
async function fixLines(tx: Sql, part: { siteId: string } | { page: number }): Promise<FixLine[]> {
  const wanted =
    "siteId" in part ? tx`AND d.site_id = ${part.siteId}` : tx`AND d.open_fixes > 0 AND f.fix ->> 'state' <> 'held'`;
  const [most, before] = "siteId" in part ? [MOST_OF_SITE, 0] : [FIXES_PAGE, (part.page - 1) * FIXES_PAGE];
  const rows = await tx`
    SELECT d.site_id, s.name, f.fix FROM site_detail d JOIN site s USING (account_id, site_id)
    CROSS JOIN LATERAL jsonb_array_elements(d.detail -> 'fixes') AS f (fix)
    WHERE d.account_id = current_account() ${wanted}
    ORDER BY (f.fix ->> 'reopened')::boolean DESC, (f.fix ->> 'repairedAt')::float8 DESC, d.site_id, f.fix ->> 'cause'
    LIMIT ${most} OFFSET ${before}`;
  return z
    .array(Row)
    .parse([...rows])
    .map(line);
}

/** Every repair of a site under watch, newest first after those that opened again. */
export async function readFixes(actor: Actor, siteId: string): Promise<FixLine[]> {
  authorise(actor, "sites.read");
  return readTransaction(actor, (tx) => fixLines(tx, { siteId }));
}

/** A page of the repairs of the account that are not known to have held, those that opened again first, and how many there are. */
export async function readOpenFixes(actor: Actor, page = 1): Promise<OpenFixesView> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const [count] = await tx<{ n: number }[]>`
      SELECT coalesce(sum(open_fixes), 0)::int AS n FROM site_detail WHERE account_id = current_account() AND open_fixes > 0`;
    return { fixes: await fixLines(tx, { page }), total: count?.n ?? 0, page };
  });
}
