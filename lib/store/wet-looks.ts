import { z } from "zod";
import type { Sql } from "./transaction.ts";

const Row = z
  .object({
    visit_id: z.string(),
    site_id: z.string(),
    allowed_by: z.string(),
    reason: z.string(),
    allowed_at: z.date(),
  })
  .transform((r) => ({
    ...{ visitId: r.visit_id, siteId: r.site_id, allowedBy: r.allowed_by, reason: r.reason },
    allowedAt: r.allowed_at.getTime(),
  }));
/** Leave for a visit to be made in the wet, that nobody has ended. */
export type OpenWetLook = z.infer<typeof Row>;

/** Leaves that nobody has ended, by visit. */
export async function openWetLooks(tx: Sql): Promise<Map<string, OpenWetLook>> {
  const rows = await tx`SELECT visit_id, site_id, allowed_by, reason, allowed_at FROM wet_look
    WHERE account_id = current_account() AND ended_at IS NULL ORDER BY allowed_at`;
  return new Map(
    z
      .array(Row)
      .parse([...rows])
      .map((look) => [look.visitId, look]),
  );
}

export async function addWetLook(
  tx: Sql,
  look: { visitId: string; siteId: string; allowedBy: string; person: string; reason: string },
): Promise<void> {
  await tx`INSERT INTO wet_look (account_id, site_id, visit_id, allowed_by, person, reason)
    VALUES (current_account(), ${look.siteId}, ${look.visitId}, ${look.allowedBy}, ${look.person}, ${look.reason})`;
}

/** @returns false when there is none to end */
export async function endWetLook(tx: Sql, visitId: string, endedBy: string, reason: string): Promise<boolean> {
  const ended =
    await tx`UPDATE wet_look SET ended_by = ${endedBy}, ended_at = clock_timestamp(), ended_reason = ${reason}
    WHERE account_id = current_account() AND visit_id = ${visitId} AND ended_at IS NULL`;
  return ended.count > 0;
}
