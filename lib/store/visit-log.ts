import type { VisitEdit } from "../visit/visit-edits.ts";
import type { Sql } from "./transaction.ts";

/** Every edit of one visit, or of all visits of a site, in the order of devices. */
export async function visitEdits(tx: Sql, which: { visitId: string } | { siteId: string }): Promise<VisitEdit[]> {
  const own = "visitId" in which ? tx`visit_id = ${which.visitId}` : tx`site_id = ${which.siteId}`;
  const rows = await tx<(Omit<VisitEdit, "at"> & { at: Date })[]>`
    SELECT edit_id, visit_id, item, field, value, written_at AS at, written_by AS by, device, seq
    FROM visit_edit WHERE account_id = current_account() AND ${own} ORDER BY device, seq, edit_id`;
  return rows.map((row) => ({ ...row, at: row.at.getTime() }));
}

export interface KeptPhoto {
  photoId: string;
  visitId: string;
  siteId: string;
  item: string;
  sha256: string;
  takenAt: number | null;
  latitude: number | null;
  longitude: number | null;
}

/** Photos of one visit or of a site, by visit, item and time. */
export async function visitPhotos(tx: Sql, which: { visitId: string } | { siteId: string }): Promise<KeptPhoto[]> {
  const own = "visitId" in which ? tx`visit_id = ${which.visitId}` : tx`site_id = ${which.siteId}`;
  const rows = await tx<(Omit<KeptPhoto, "takenAt"> & { takenAt: Date | null })[]>`
    SELECT photo_id AS "photoId", visit_id AS "visitId", site_id AS "siteId", item, sha256, taken_at AS "takenAt", latitude, longitude
    FROM visit_photo WHERE account_id = current_account() AND ${own} ORDER BY visit_id, item, taken_at, photo_id`;
  return rows.map((row) => ({ ...row, takenAt: row.takenAt?.getTime() ?? null }));
}
