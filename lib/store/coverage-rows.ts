import { z } from "zod";
import { localDay } from "../core/zoned-time.ts";
import { CoverageRow, selectList } from "./record-rows.ts";
import type { Sql } from "./transaction.ts";

export const PAPER_KINDS = [
  "contract",
  "notice",
  "proof_of_loss",
  "installer_licence",
  "calibration",
  "part_photo",
  "other",
] as const;
export const SEND_METHODS = ["post", "courier", "email", "portal", "by_hand"] as const;

const Paper = z.object({
  site_id: z.string(),
  document_id: z.string(),
  coverage_id: z.string().nullable(),
  kind: z.enum(PAPER_KINDS),
  file_name: z.string(),
  media_type: z.string(),
  bytes: z.number(),
  sha256: z.string(),
  page: z.number().nullable(),
  note: z.string().nullable(),
  added_by: z.string(),
  added_at: z.date(),
});
/** A paper of a site without its bytes. */
export type Paper = z.infer<typeof Paper>;

const DiscoveryRow = z.object({
  site_id: z.string(),
  discovery_id: z.string(),
  what: z.string(),
  reason: z.string(),
  discovered_by: z.string(),
  discovered_at: z.date(),
  ended_how: z.enum(["withdrawn", "closed"]).nullable(),
  ended_by: z.string().nullable(),
  ended_at: z.date().nullable(),
  ended_reason: z.string().nullable(),
  time_zone: z.string(),
});
export type StoredDiscovery = z.infer<typeof DiscoveryRow> & { discovered_on: string };

const NoticeRow = z.object({
  site_id: z.string(),
  notice_id: z.string(),
  coverage_id: z.string(),
  discovery_id: z.string(),
  kind: z.enum(["notice", "proof_of_loss"]),
  sent_on: z.string(),
  sent_to: z.string(),
  method: z.enum(SEND_METHODS),
  document_id: z.string(),
  recorded_by: z.string(),
  recorded_at: z.date(),
});
export type StoredNotice = z.infer<typeof NoticeRow>;

const TransferRow = z.object({
  transfer_id: z.string(),
  item_id: z.string(),
  from_person: z.string(),
  to_person: z.string(),
  stored_at: z.string(),
  sealed: z.boolean(),
  signed_from: z.string(),
  signed_to: z.string(),
  handed_at: z.date(),
});
const ItemRow = z.object({
  item_id: z.string(),
  tag: z.string(),
  what: z.string(),
  place_found: z.string(),
  document_id: z.string().nullable(),
  removed_by: z.string(),
  removed_at: z.date(),
});
export type StoredPart = z.infer<typeof ItemRow> & { transfers: z.infer<typeof TransferRow>[] };

/** Rows by their site, in the order given. */
export function bySite<T extends { site_id: string }>(rows: readonly T[]): Map<string, T[]> {
  const out = new Map<string, T[]>();
  for (const row of rows) {
    const list = out.get(row.site_id);
    if (list) list.push(row);
    else out.set(row.site_id, [row]);
  }
  return out;
}

/** Which sites rows are asked of: some, or all of the account. */
const among = (tx: Sql, siteIds: readonly string[] | null) =>
  siteIds === null ? tx`` : tx`AND t.site_id = ANY(${[...siteIds]})`;

export async function papersOf(tx: Sql, siteIds: readonly string[] | null): Promise<Paper[]> {
  const rows = await tx`
    SELECT site_id, document_id::text, coverage_id, kind, file_name, media_type, bytes, sha256, page, note, added_by, added_at
    FROM coverage_document t WHERE account_id = current_account() ${among(tx, siteIds)} ORDER BY site_id, added_at, document_id`;
  return z.array(Paper).parse([...rows]);
}

/** Bytes of one paper; null when there is none. */
export async function paperContent(
  tx: Sql,
  siteId: string,
  documentId: string,
): Promise<{ content: Buffer; fileName: string; mediaType: string } | null> {
  const [row] = await tx<{ content: Buffer; file_name: string; media_type: string }[]>`
    SELECT content, file_name, media_type FROM coverage_document
    WHERE account_id = current_account() AND site_id = ${siteId} AND document_id = ${documentId}`;
  return row ? { content: row.content, fileName: row.file_name, mediaType: row.media_type } : null;
}

/** Ended ones too, oldest first; the day is the site's. */
export async function discoveriesOf(tx: Sql, siteIds: readonly string[] | null): Promise<StoredDiscovery[]> {
  const rows = await tx`
    SELECT t.site_id, discovery_id::text, what, reason, discovered_by, discovered_at, ended_how, ended_by, ended_at, ended_reason,
      s.time_zone FROM discovery t JOIN site s USING (account_id, site_id)
    WHERE t.account_id = current_account() ${among(tx, siteIds)} ORDER BY t.site_id, discovered_at, discovery_id`;
  return z
    .array(DiscoveryRow)
    .parse([...rows])
    .map((row) => ({ ...row, discovered_on: localDay(row.discovered_at.getTime(), row.time_zone) }));
}

export async function noticesOf(tx: Sql, siteIds: readonly string[] | null): Promise<StoredNotice[]> {
  const rows = await tx`
    SELECT site_id, notice_id::text, coverage_id, discovery_id::text, kind, sent_on::text, sent_to, method, document_id::text,
      recorded_by, recorded_at FROM notice_sent t WHERE account_id = current_account() ${among(tx, siteIds)}
    ORDER BY site_id, sent_on, recorded_at`;
  return z.array(NoticeRow).parse([...rows]);
}

/** Removed parts of a site with the hands they went through, oldest first. */
export async function partsOf(tx: Sql, siteId: string): Promise<StoredPart[]> {
  const items = z.array(ItemRow).parse([
    ...(await tx`SELECT item_id::text, tag, what, place_found, document_id::text, removed_by, removed_at FROM custody_item
      WHERE account_id = current_account() AND site_id = ${siteId} ORDER BY removed_at, tag`),
  ]);
  const transfers = z.array(TransferRow).parse([
    ...(await tx`SELECT transfer_id::text, item_id::text, from_person, to_person, stored_at, sealed, signed_from, signed_to, handed_at
      FROM custody_transfer WHERE account_id = current_account() AND site_id = ${siteId} ORDER BY handed_at, recorded_at`),
  ]);
  return items.map((item) => ({ ...item, transfers: transfers.filter((t) => t.item_id === item.item_id) }));
}

/** A site as a register lists it. */
export const RegisterSite = z.object({
  site_id: z.string(),
  name: z.string(),
  portfolio: z.string(),
  time_zone: z.string(),
  currency: z.string().nullable(),
});
export type RegisterSite = z.infer<typeof RegisterSite>;

/** Sites of a book, or of the account, by id. */
export async function registerSites(tx: Sql, book: string | null): Promise<RegisterSite[]> {
  const rows = await tx`SELECT site_id, name, portfolio, time_zone, currency FROM site
    WHERE account_id = current_account() ${book === null ? tx`` : tx`AND portfolio = ${book}`} ORDER BY site_id`;
  return z.array(RegisterSite).parse([...rows]);
}

export async function contractsOf(tx: Sql, siteIds: readonly string[] | null): Promise<z.infer<typeof CoverageRow>[]> {
  const found = await tx.unsafe(
    `SELECT ${selectList(CoverageRow)} FROM coverage WHERE account_id = current_account()
       ${siteIds === null ? "" : "AND site_id = ANY($1)"} ORDER BY site_id, starts_on, coverage_id`,
    siteIds === null ? [] : [[...siteIds]],
  );
  return z.array(CoverageRow).parse([...found]);
}

const IdentityRow = z
  .object({
    site_id: z.string(),
    portfolio: z.string(),
    latitude: z.number(),
    longitude: z.number(),
    serials: z.array(z.string()),
  })
  .transform(({ site_id, portfolio, ...rest }) => ({ siteId: site_id, book: portfolio, ...rest }));

/** Sites whose inverters bear a serial number that another site's do too. */
export async function sharedSerials(tx: Sql): Promise<z.infer<typeof IdentityRow>[]> {
  const rows = await tx`
    SELECT i.site_id, s.portfolio, s.latitude, s.longitude, array_agg(DISTINCT i.serial) AS serials
    FROM inverter i JOIN site s USING (account_id, site_id)
    WHERE i.account_id = current_account() AND upper(btrim(i.serial)) IN (
      SELECT upper(btrim(serial)) FROM inverter WHERE account_id = current_account() AND serial IS NOT NULL
      GROUP BY 1 HAVING count(DISTINCT site_id) > 1)
    GROUP BY 1, 2, 3, 4 ORDER BY 1`;
  return z.array(IdentityRow).parse([...rows]);
}

export interface ScorePoint {
  asOf: number;
  p: number;
  low: number;
  high: number;
}

/** Scores of sites over time, oldest first, one a day; only sites whose newest one is at or above `threshold`. */
export async function suspectHistories(
  tx: Sql,
  siteIds: readonly string[] | null,
  threshold: number,
): Promise<Map<string, ScorePoint[]>> {
  const rows = await tx<{ site_id: string; as_of: Date; p: number; low: number; high: number }[]>`
    SELECT DISTINCT ON (t.site_id, t.as_of::date) t.site_id, t.as_of, t.bonding_p AS p, t.bonding_low AS low, t.bonding_high AS high
    FROM score t JOIN standing s USING (account_id, site_id)
    WHERE t.account_id = current_account() AND s.bonding_p >= ${threshold} ${among(tx, siteIds)}
    ORDER BY t.site_id, t.as_of::date, t.computed_at DESC`;
  const out = new Map<string, ScorePoint[]>();
  for (const { site_id: id, as_of: asOf, ...point } of rows) {
    const list = out.get(id) ?? [];
    list.push({ asOf: asOf.getTime(), ...point });
    out.set(id, list);
  }
  return out;
}
