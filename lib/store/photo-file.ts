import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { AppError } from "../core/app-error.ts";
import { dataFolder, ensureDataFolder } from "./data-folder.ts";

/** Photos lie under their SHA-256: the same bytes once, whoever sent them. */
const folderOf = (data: string) => path.join(data, "visit-photos");

/** Keep the bytes of a photo. @returns their SHA-256 @throws AppError `disk_full`, and nothing of it is left */
export function keepPhotoFile(bytes: Uint8Array, photoId: string): string {
  const sha256 = createHash("sha256").update(bytes).digest("hex");
  const folder = folderOf(ensureDataFolder());
  mkdirSync(folder, { recursive: true });
  // Under a name of its own first: nobody ever sees half a photo.
  const half = path.join(folder, `${sha256}.${photoId}`);
  try {
    writeFileSync(half, bytes);
    renameSync(half, path.join(folder, sha256));
  } catch (error) {
    rmSync(half, { force: true });
    if (["ENOSPC", "EDQUOT"].includes((error as NodeJS.ErrnoException).code ?? ""))
      throw new AppError("disk_full", {
        message:
          "The server's disk is full, so the photo was not taken. It stays on the phone, which sends it again; keep the phone's data until then, and have somebody free some space.",
        cause: error,
      });
    throw error;
  }
  return sha256;
}

/** Where a photo lies on this machine, whether or not it is there. */
export const photoPath = (sha256: string) => path.join(folderOf(dataFolder()), sha256);

/** Whether a photo lies here as it was kept. */
export const hasPhotoFile = (sha256: string) => readPhotoFile(sha256) !== null;

/** The bytes of a photo; null: they are not on this machine, or not as they were kept. */
export function readPhotoFile(sha256: string): Uint8Array | null {
  const file = photoPath(sha256);
  if (!/^[0-9a-f]{64}$/.test(sha256) || !existsSync(file)) return null;
  const bytes = readFileSync(file);
  return createHash("sha256").update(bytes).digest("hex") === sha256 ? bytes : null;
}

/** Take away photos that nothing names any more. */
export function removePhotoFiles(shas: readonly string[]): void {
  for (const sha256 of shas)
    if (/^[0-9a-f]{64}$/.test(sha256)) rmSync(path.join(folderOf(dataFolder()), sha256), { force: true });
}
