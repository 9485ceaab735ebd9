import { createHash } from "node:crypto";
import { rmSync } from "node:fs";
import { type BackupPhotos, type Frame, frameBytes, type MissingPhoto, PhotoStart } from "./backup-frames.ts";
import { hasPhotoFile, keepPhotoFile, photoPath, readPhotoFile } from "./photo-file.ts";
import type { Sql } from "./transaction.ts";

/** A photo is cut into pieces of this size. */
const PIECE = 256 * 1024;
/** So many missing photos are named one by one; the rest are counted. */
const MOST_NAMED = 200;

/** Photos of visits of some accounts: each picture once, with a visit that has it. */
async function photosOf(tx: Sql, accounts: readonly number[]): Promise<MissingPhoto[]> {
  const out = new Map<string, MissingPhoto>();
  for (const account of accounts) {
    await tx`SELECT set_config('raintrip.account', ${String(account)}, true)`;
    const rows = await tx<MissingPhoto[]>`
      SELECT DISTINCT ON (sha256) sha256, site_id, visit_id, item FROM visit_photo
      WHERE account_id = ${account} ORDER BY sha256, site_id, visit_id, photo_id`;
    for (const row of rows) if (!out.has(row.sha256)) out.set(row.sha256, { ...row });
  }
  return [...out.values()].sort((a, b) => (a.sha256 < b.sha256 ? -1 : 1));
}

/**
 * Frames of every photo that lies in the data folder as it was kept; no more than one photo is held. One that is gone or
 * changed has no frames and is named in `photos`, which is filled as they come.
 */
export async function* photoFrames(tx: Sql, accounts: readonly number[], photos: BackupPhotos): AsyncGenerator<Buffer> {
  for (const photo of await photosOf(tx, accounts)) {
    const bytes = readPhotoFile(photo.sha256);
    if (!bytes) {
      photos.missing_count++;
      if (photos.missing.length < MOST_NAMED) photos.missing.push(photo);
      continue;
    }
    photos.count++;
    photos.bytes += bytes.length;
    yield frameBytes("F", Buffer.from(JSON.stringify({ sha256: photo.sha256, bytes: bytes.length })));
    for (let from = 0; from < bytes.length; from += PIECE)
      yield frameBytes("B", Buffer.from(bytes.subarray(from, from + PIECE)));
  }
}

/** Holds each photo of a backup against its own name, as its frames come. */
export class PhotoCheck {
  count = 0;
  bytes = 0;
  #open: { sha256: string; left: number; hash: ReturnType<typeof createHash> } | null = null;

  /** @throws RangeError when the photo before is not whole */
  begin({ sha256, bytes }: PhotoStart): void {
    this.end();
    this.#open = { sha256, left: bytes, hash: createHash("sha256") };
    this.count++;
    this.bytes += bytes;
  }
  /** @throws RangeError when no photo is open */
  add(piece: Buffer): void {
    if (!this.#open) throw new RangeError("pieces in it belong to no photo");
    this.#open.hash.update(piece);
    this.#open.left -= piece.length;
  }
  /** @throws RangeError when the open photo is not the one it is named for */
  end(): void {
    const open = this.#open;
    this.#open = null;
    if (open && (open.left !== 0 || open.hash.digest("hex") !== open.sha256))
      throw new RangeError(`the photo ${open.sha256} in it is damaged`);
  }
}

/**
 * Put the photos of a checked backup into the data folder.
 * @returns takes back what it put there, for when the restore fails after all
 * @throws RangeError when a photo is not the one it is named for; nothing of this backup is left then
 */
export async function restorePhotos(frames: AsyncIterable<Frame>): Promise<() => void> {
  const added: string[] = [];
  const undo = () => {
    for (const sha256 of added) rmSync(photoPath(sha256), { force: true });
  };
  let open: { sha256: string; pieces: Buffer[] } | null = null;
  const close = () => {
    if (!open) return;
    const { sha256, pieces } = open;
    open = null;
    if (hasPhotoFile(sha256)) return;
    const kept = keepPhotoFile(Buffer.concat(pieces), "restored");
    added.push(kept);
    if (kept !== sha256) throw new RangeError(`the photo ${sha256} in the backup is damaged`);
  };
  try {
    for await (const { kind, payload } of frames) {
      if (kind === "B") open?.pieces.push(payload);
      else close();
      if (kind === "F") open = { sha256: PhotoStart.parse(JSON.parse(payload.toString("utf8"))).sha256, pieces: [] };
    }
    close();
  } catch (error) {
    undo();
    throw error;
  }
  return undo;
}

/** Missing photos in words, one a line. */
export function missingPhotoLines({ missing, missing_count }: BackupPhotos): string[] {
  const lines = missing.map(
    (p) =>
      `Photo of visit ${p.visit_id} at ${p.site_id} (${p.item}), ${p.sha256}: it is gone from the data folder or is not as it was kept. Its record is in the backup, its picture is not.`,
  );
  const more = missing_count - missing.length;
  return more > 0 ? [...lines, `${more} more photos are missing in the same way.`] : lines;
}
