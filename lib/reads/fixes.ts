import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import type { FixLine } from "./fixes-view.ts";
import { StoredFix } from "./site-detail.ts";

const Row = z.object({ site_id: z.string(), name: z.string(), fix: StoredFix });

function line({ site_id, name, fix }: z.infer<typeof Row>): FixLine {
  const { sectionId, inverterId, expectedBy, ...rest } = fix;
  const place = sectionId !== null ? `section ${sectionId}` : inverterId !== null ? `inverter ${inverterId}` : null;
  const date = expectedBy === null ? null : new Date(expectedBy).toISOString();
  return { ...rest, siteId: site_id, siteName: name, place, expectedBy: date };
}

async function fixLines(tx: Sql, options: { siteId?: string; openOnly: boolean }): Promise<FixLine[]> {
  const rows = await tx`
    SELECT d.site_id, s.name, f.fix FROM site_detail d JOIN site s USING (account_id, site_id)
    CROSS JOIN LATERAL jsonb_array_elements(d.detail -> 'fixes') AS f (fix)
    WHERE d.account_id = current_account() ${options.siteId === undefined ? tx`` : tx`AND d.site_id = ${options.siteId}`}
      ${options.openOnly ? tx`AND f.fix ->> 'state' <> 'held'` : tx``}
    ORDER BY (f.fix ->> 'reopened')::boolean DESC, (f.fix ->> 'repairedAt')::float8 DESC, d.site_id, f.fix ->> 'cause'
    LIMIT 500`;
  return z
    .array(Row)
    .parse([...rows])
    .map(line);
}

/** Every repair of a site under watch, newest first after those that opened again. */
export async function readFixes(actor: Actor, siteId: string): Promise<FixLine[]> {
  authorise(actor, "sites.read");
  return readTransaction(actor, (tx) => fixLines(tx, { siteId, openOnly: false }));
}

/** Every repair of the account that is not known to have held, at most 500, those that opened again first. */
export async function readOpenFixes(actor: Actor): Promise<FixLine[]> {
  authorise(actor, "sites.read");
  return readTransaction(actor, (tx) => fixLines(tx, { openOnly: true }));
}
