import { z } from "zod";
import { type LogClock, logClocksOf } from "./log-clocks.ts";
import type { Sql } from "./transaction.ts";

/** What lies beside the records of a site as far as evidence goes. */
export interface ProofRows {
  faultRows: number;
  photos: { takenAt: number | null }[];
  custody: {
    tag: string;
    photographed: boolean;
    handovers: { to: string; storedAt: string; signed: boolean }[];
  }[];
  /** Share of the hours of the log of which the weather is known; null: no station, or not scored yet. */
  weatherKnown: number | null;
  clocks: LogClock[];
}

const CustodyRow = z.object({
  site_id: z.string(),
  tag: z.string(),
  photographed: z.boolean(),
  handovers: z.array(z.object({ to: z.string(), storedAt: z.string(), signed: z.boolean() })),
});

/** One query a table for all sites; every asked site is in the map. */
export async function proofRows(tx: Sql, siteIds: readonly string[]): Promise<Map<string, ProofRows>> {
  const ids = [...siteIds];
  const out = new Map<string, ProofRows>(
    ids.map((id) => [id, { faultRows: 0, photos: [], custody: [], weatherKnown: null, clocks: [] }]),
  );
  const faults = await tx<{ site_id: string; rows: number }[]>`
    SELECT site_id, count(*)::int AS rows FROM fault
    WHERE account_id = current_account() AND site_id = ANY(${ids}) GROUP BY site_id`;
  for (const { site_id, rows } of faults) (out.get(site_id) as ProofRows).faultRows = rows;
  const photos = await tx<{ site_id: string; taken_at: Date | null }[]>`
    SELECT site_id, taken_at FROM visit_photo WHERE account_id = current_account() AND site_id = ANY(${ids})`;
  for (const { site_id, taken_at } of photos) out.get(site_id)?.photos.push({ takenAt: taken_at?.getTime() ?? null });
  const custody = await tx`
    SELECT i.site_id, i.tag, i.document_id IS NOT NULL AS photographed,
      coalesce(jsonb_agg(jsonb_build_object('to', t.to_person, 'storedAt', t.stored_at,
        'signed', t.signed_from <> '' AND t.signed_to <> '') ORDER BY t.handed_at, t.recorded_at)
        FILTER (WHERE t.transfer_id IS NOT NULL), '[]') AS handovers
    FROM custody_item i LEFT JOIN custody_transfer t USING (account_id, site_id, item_id)
    WHERE i.account_id = current_account() AND i.site_id = ANY(${ids})
    GROUP BY i.site_id, i.item_id, i.tag, i.document_id, i.removed_at ORDER BY i.site_id, i.removed_at, i.tag`;
  for (const { site_id, ...part } of z.array(CustodyRow).parse([...custody])) out.get(site_id)?.custody.push(part);
  const weather = await tx<{ site_id: string; known: number | null }[]>`
    SELECT site_id, CASE WHEN detail #>> '{station,stationId}' IS NULL THEN NULL
      ELSE (detail #>> '{station,coverage}')::float8 END AS known
    FROM site_detail WHERE account_id = current_account() AND site_id = ANY(${ids})`;
  for (const { site_id, known } of weather) (out.get(site_id) as ProofRows).weatherKnown = known;
  for (const [siteId, clocks] of await logClocksOf(tx, ids)) (out.get(siteId) as ProofRows).clocks = clocks;
  return out;
}

/** A digest of everything beside the scores that a site's proof rests on: it changes when one of them does. */
export async function proofDigest(tx: Sql): Promise<string> {
  const [row] = await tx<{ digest: string }[]>`
    SELECT md5(concat_ws('/',
      (SELECT count(*) || '.' || count(taken_at) FROM visit_photo WHERE account_id = current_account()),
      (SELECT count(*) || '.' || coalesce(max(added_at)::text, '') FROM coverage_document WHERE account_id = current_account()),
      (SELECT count(*) || '.' || count(document_id) FROM custody_item WHERE account_id = current_account()),
      (SELECT count(*) FROM custody_transfer WHERE account_id = current_account()),
      (SELECT count(*) || '.' || count(ended_at) FROM discovery WHERE account_id = current_account()),
      (SELECT count(*) FROM notice_sent WHERE account_id = current_account()))) AS digest`;
  return row?.digest ?? "";
}
