import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { accountSetting, PHOTO_PLACE, setAccountSetting } from "../store/account-settings.ts";
import type { Actor } from "../store/actor.ts";
import { keepPhotoFile } from "../store/photo-file.ts";
import { readTransaction, writeTransaction } from "../store/transaction.ts";
import { visitEdits } from "../store/visit-log.ts";
import { pictureType, stripPicture } from "../visit/picture.ts";
import { checkSite, makeRecords } from "./sync-visit.ts";

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

/**
 * Keep a photo of a visit; records that the visit made of that item name it from then on. Sending it again changes
 * nothing. Where the account strips photos, time and position are taken off before anything is stored, also out of the
 * file itself.
 * @throws AppError `too_large`, or `wrong_use` for what is no JPEG, PNG or WebP picture
 */
export async function keepVisitPhoto(
  actor: Actor,
  query: z.infer<typeof VisitPhotoQuery>,
  request: Request,
): Promise<{ photo_id: string; sha256: string }> {
  authorise(actor, "visit.write");
  const sent = await readLimited(request);
  const type = pictureType(sent);
  if (!type) throw new AppError("wrong_use", { message: "This file is not a JPEG, PNG or WebP picture." });
  const strips = (await readTransaction(actor, (tx) => accountSetting(tx, "photo_place"))) === "strip";
  const bytes = strips ? stripPicture(sent) : sent;
  const sha256 = keepPhotoFile(bytes, query.photo_id);
  const { photo_id, visit_id: visitId, site_id: siteId, item } = query;
  const taken = query.taken_at === undefined || strips ? null : new Date(query.taken_at);
  const [latitude, longitude] = strips ? [null, null] : [query.latitude ?? null, query.longitude ?? null];
  await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('visit/' || current_account() || '/' || ${visitId}, 0))`;
    await checkSite(tx, visitId, siteId);
    const added = await tx`
      INSERT INTO visit_photo (account_id, photo_id, visit_id, site_id, item, sha256, media_type, bytes, taken_at, latitude, longitude)
      VALUES (current_account(), ${photo_id}, ${visitId}, ${siteId}, ${item}, ${sha256}, ${type}, ${bytes.length}, ${taken},
        ${latitude}, ${longitude})
      ON CONFLICT (account_id, photo_id) DO NOTHING`;
    const edits = added.count > 0 ? await visitEdits(tx, { visitId }) : [];
    if (edits.length > 0) await makeRecords(tx, { visitId, siteId, edits });
    const note = { action: "visit.photo", subject: visitId, detail: { photo: photo_id, sha256 } };
    return { result: null, note: added.count > 0 ? note : null };
  });
  return { photo_id, sha256 };
}

export const PhotoPlaceBody = z.strictObject({ photoPlace: z.enum(PHOTO_PLACE) });

/** Whether time and position of photos are kept from now on. Photos that are kept already stay as they are. */
export async function setPhotoPlace(
  actor: Actor,
  { photoPlace }: z.infer<typeof PhotoPlaceBody>,
): Promise<z.infer<typeof PhotoPlaceBody>> {
  authorise(actor, "settings.write");
  return writeTransaction(actor, async (tx) => {
    await setAccountSetting(tx, "photo_place", photoPlace, actor.person);
    return { result: { photoPlace }, note: { action: "setting.save", subject: "photo_place", detail: { photoPlace } } };
  });
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
