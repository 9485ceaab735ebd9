import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readPhotoFile } from "../store/photo-file.ts";
import { readTransaction } from "../store/transaction.ts";
import { pictureType } from "../visit/picture.ts";

const ABSENT = "There is no such photo.";

/**
 * A photo of the actor's account, with the type that its bytes tell; only the three kinds of picture ever leave.
 * @throws AppError `not_found` when the account has no such photo, or its file is gone
 */
export async function readVisitPhoto(actor: Actor, photoId: string): Promise<Response> {
  authorise(actor, "visits.read");
  if (!z.uuid().safeParse(photoId).success) throw new AppError("not_found", { message: ABSENT });
  const [row] = await readTransaction(
    actor,
    (tx) => tx<{ sha256: string }[]>`
      SELECT sha256 FROM visit_photo WHERE account_id = current_account() AND photo_id = ${photoId}`,
  );
  if (!row) throw new AppError("not_found", { message: ABSENT });
  const bytes = readPhotoFile(row.sha256);
  const type = bytes === null ? null : pictureType(bytes);
  if (bytes === null || type === null)
    throw new AppError("not_found", {
      message: "This photo is on record, but its file is not on this machine. Look in the data folder’s backup.",
    });
  return new Response(bytes as never, {
    headers: {
      "content-type": type,
      "content-length": String(bytes.length),
      "x-content-type-options": "nosniff",
      "content-disposition": `inline; filename="${photoId}.${type.slice("image/".length)}"`,
      "content-security-policy": "default-src 'none'; sandbox",
      // Photos are never changed, and only this account may see them.
      "cache-control": "private, max-age=86400, immutable",
    },
  });
}
