import "server-only";
import { existsSync } from "node:fs";
import path from "node:path";
import sharp from "sharp";
import { ensureDataFolder } from "../store/data-folder.ts";
import type { Sql } from "../store/transaction.ts";

/** A photo of a visit as recorded; where it was taken and when only if the phone was told to keep that. */
export interface KeptPhoto {
  photoId: string;
  item: string;
  sha256: string;
  takenAt: number | null;
  latitude: number | null;
  longitude: number | null;
}

/** Photos of a visit by item, then by time. */
export async function photosOf(tx: Sql, visitId: string): Promise<KeptPhoto[]> {
  const rows = await tx<(Omit<KeptPhoto, "takenAt"> & { takenAt: Date | null })[]>`
    SELECT photo_id AS "photoId", item, sha256, taken_at AS "takenAt", latitude, longitude
    FROM visit_photo WHERE account_id = current_account() AND visit_id = ${visitId}
    ORDER BY item, taken_at, photo_id`;
  return rows.map((row) => ({ ...row, takenAt: row.takenAt?.getTime() ?? null }));
}

/** Longest side of a photo in print, pixels: 250 to the inch over half a page's width. */
const PRINT_PX = 900;

/**
 * A photo as a JPEG small enough to print, upright as it was taken.
 * @returns null where its file is gone or is no picture
 */
export async function printablePhoto(sha256: string): Promise<Uint8Array | null> {
  const file = path.join(ensureDataFolder(), "visit-photos", sha256);
  if (!existsSync(file)) return null;
  return sharp(file)
    .rotate()
    .resize({ width: PRINT_PX, height: PRINT_PX, fit: "inside", withoutEnlargement: true })
    .flatten({ background: "#ffffff" })
    .jpeg({ quality: 78 })
    .toBuffer()
    .catch(() => null);
}
