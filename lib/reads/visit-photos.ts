import "server-only";
import sharp from "sharp";
import { readPhotoFile } from "../store/photo-file.ts";

export type { KeptPhoto } from "../store/visit-log.ts";

/** Longest side of a photo in print, pixels: 250 to the inch over half a page's width. */
const PRINT_PX = 900;

/**
 * A photo as a JPEG small enough to print, upright as it was taken.
 * @returns null where its file is gone or is no picture
 */
export async function printablePhoto(sha256: string): Promise<Uint8Array | null> {
  const bytes = readPhotoFile(sha256);
  if (bytes === null) return null;
  return sharp(bytes)
    .rotate()
    .resize({ width: PRINT_PX, height: PRINT_PX, fit: "inside", withoutEnlargement: true })
    .flatten({ background: "#ffffff" })
    .jpeg({ quality: 78 })
    .toBuffer()
    .catch(() => null);
}
