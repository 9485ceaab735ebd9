import "server-only";
import { createHash } from "node:crypto";
import { mkdirSync, renameSync, writeFileSync } from "node:fs";
import path from "node:path";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { ensureDataFolder } from "../store/data-folder.ts";
import { writeTransaction } from "../store/transaction.ts";
import { checkSite } from "./sync-visit.ts";

/** A phone sends its photos reduced; more than this was not. */
export const MOST_PHOTO_MB = 10;

export const VisitPhotoQuery = z.object({
  photo_id: z.uuid(),
  visit_id: z.string().min(1).max(300),
  site_id: z.string().min(1).max(300),
  item: z.string().min(1).max(300),
  taken_at: z.coerce.number().int().min(0).max(4e12).optional(),
  latitude: z.coerce.number().min(-90).max(90).optional(),
  longitude: z.coerce.number().min(-180).max(180).optional(),
});

/** What a picture is by its first bytes; its name and its declared type prove nothing. Null: no picture we keep. */
export function pictureType(bytes: Uint8Array): "image/jpeg" | "image/png" | "image/webp" | null {
  const ascii = (from: number, to: number) => String.fromCharCode(...bytes.subarray(from, to));
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return "image/jpeg";
  if (bytes[0] === 0x89 && ascii(1, 8) === "PNG\r\n\u001a\n") return "image/png";
  return ascii(0, 4) === "RIFF" && ascii(8, 12) === "WEBP" ? "image/webp" : null;
}

/**
 * Keep a photo of a visit. Sending it again changes nothing.
 * @throws AppError `too_large`, or `wrong_use` for what is no JPEG, PNG or WebP picture
 */
export async function keepVisitPhoto(
  actor: Actor,
  query: z.infer<typeof VisitPhotoQuery>,
  request: Request,
): Promise<{ photo_id: string; sha256: string }> {
  authorise(actor, "visit.write");
  const bytes = await readLimited(request);
  const type = pictureType(bytes);
  if (!type) throw new AppError("wrong_use", { message: "This file is not a JPEG, PNG or WebP picture." });
  const sha256 = createHash("sha256").update(bytes).digest("hex");
  const folder = path.join(ensureDataFolder(), "visit-photos");
  mkdirSync(folder, { recursive: true });
  writeFileSync(path.join(folder, `${sha256}.${query.photo_id}`), bytes);
  renameSync(path.join(folder, `${sha256}.${query.photo_id}`), path.join(folder, sha256));
  await writeTransaction(actor, async (tx) => {
    await checkSite(tx, query.visit_id, query.site_id);
    const taken = query.taken_at === undefined ? null : new Date(query.taken_at);
    const added = await tx`
      INSERT INTO visit_photo (account_id, photo_id, visit_id, site_id, item, sha256, media_type, bytes, taken_at, latitude, longitude)
      VALUES (current_account(), ${query.photo_id}, ${query.visit_id}, ${query.site_id}, ${query.item}, ${sha256}, ${type},
        ${bytes.length}, ${taken}, ${query.latitude ?? null}, ${query.longitude ?? null})
      ON CONFLICT (account_id, photo_id) DO NOTHING`;
    const note = { action: "visit.photo", subject: query.visit_id, detail: { photo: query.photo_id, sha256 } };
    return { result: null, note: added.count > 0 ? note : null };
  });
  return { photo_id: query.photo_id, sha256 };
}

async function readLimited(request: Request): Promise<Uint8Array> {
  const most = MOST_PHOTO_MB * 1_000_000;
  const tooLarge = (size: number) =>
    new AppError("too_large", {
      message: `The photo has ${Math.round(size / 1e6)} MB or more; at most ${MOST_PHOTO_MB} MB are taken. Take it again at a lower size.`,
    });
  const said = Number(request.headers.get("content-length") ?? 0);
  if (said > most) throw tooLarge(said);
  if (!request.body) throw new AppError("wrong_use", { message: "The request holds no photo." });
  const chunks: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of request.body as unknown as AsyncIterable<Uint8Array>) {
    size += chunk.length;
    if (size > most) throw tooLarge(size);
    chunks.push(chunk);
  }
  return Buffer.concat(chunks);
}
