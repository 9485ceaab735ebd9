import "server-only";
import { randomUUID } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { parseIsoTime } from "../core/zoned-time.ts";
import type { Actor } from "../store/actor.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { checkContract } from "./coverage-paper.ts";

const Short = (what: string) => z.string().trim().min(1, what).max(500);
const Name = (what: string) => z.string().trim().min(2, what).max(300);

export const PartBody = z.strictObject({
  siteId: z.string().min(1).max(300),
  tag: Short("write the number on the tag"),
  what: Short("say what the part is"),
  placeFound: Short("say where it sat"),
  /** The photo in place, attached before; null: none was taken. */
  documentId: z.uuid().nullable(),
  removedBy: Name("write who took it off"),
  /** Local to the site, or with an offset. */
  removedAt: z.string(),
});
export const HandoverBody = z.strictObject({
  siteId: z.string().min(1).max(300),
  itemId: z.uuid(),
  from: Name("write who hands it over"),
  to: Name("write who takes it"),
  storedAt: Short("say where it is kept from now on"),
  sealed: z.boolean(),
  signedFrom: Name("the person who hands it over signs with their name"),
  signedTo: Name("the person who takes it signs with their name"),
  handedAt: z.string(),
});

async function timeAt(tx: Sql, siteId: string, text: string, now: number): Promise<Date> {
  const [site] = await tx<{ zone: string }[]>`
    SELECT time_zone AS zone FROM site WHERE account_id = current_account() AND site_id = ${siteId}`;
  const time = parseIsoTime(text, site?.zone ?? null);
  if (!time.ok) throw new AppError("wrong_use", { message: `The time "${text}" is ${time.reason}.` });
  if (time.at > now + 300_000)
    throw new AppError("wrong_use", { message: `${text} has not come yet. Write when it was, in the site's time.` });
  return new Date(time.at);
}

/**
 * Enter a part that was taken off a site.
 * @throws AppError `conflict` for a tag that is taken, `not_found`, `wrong_use`
 */
export async function enterPart(
  actor: Actor,
  body: z.infer<typeof PartBody>,
  now: number,
): Promise<{ item_id: string }> {
  authorise(actor, "coverage.write");
  const { siteId, tag } = body;
  const id = randomUUID();
  await writeTransaction(actor, async (tx) => {
    await checkContract(tx, siteId, null);
    const taken =
      await tx`SELECT 1 FROM custody_item WHERE account_id = current_account() AND site_id = ${siteId} AND tag = ${tag}`;
    if (taken.length > 0) throw new AppError("conflict", { message: `Tag "${tag}" is on another part of this site.` });
    if (body.documentId !== null) {
      const photo =
        await tx`SELECT 1 FROM coverage_document WHERE account_id = current_account() AND site_id = ${siteId}
        AND document_id = ${body.documentId} AND kind = 'part_photo'`;
      if (photo.length === 0)
        throw new AppError("not_found", { message: "Attach the photo of the part in place first." });
    }
    const at = await timeAt(tx, siteId, body.removedAt, now);
    await tx`INSERT INTO custody_item (account_id, site_id, item_id, tag, what, place_found, document_id, removed_by, removed_at, recorded_by)
      VALUES (current_account(), ${siteId}, ${id}, ${tag}, ${body.what}, ${body.placeFound}, ${body.documentId}, ${body.removedBy},
        ${at}, ${actor.person})`;
    return { result: null, note: { action: "custody.part", subject: siteId, detail: { itemId: id, ...body } } };
  });
  return { item_id: id };
}

/**
 * Enter that a part went from one hand to another, signed by both.
 * @throws AppError `conflict` when the giver is not who holds it, `not_found`, `wrong_use`
 */
export async function enterHandover(
  actor: Actor,
  body: z.infer<typeof HandoverBody>,
  now: number,
): Promise<{ transfer_id: string }> {
  authorise(actor, "coverage.write");
  const { siteId, itemId, from } = body;
  const id = randomUUID();
  await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('custody/' || current_account() || '/' || ${itemId}, 0))`;
    const [item] = await tx<{ removed_by: string; removed_at: Date }[]>`SELECT removed_by, removed_at FROM custody_item
      WHERE account_id = current_account() AND site_id = ${siteId} AND item_id = ${itemId}`;
    if (!item) throw new AppError("not_found", { message: "There is no such part at this site." });
    const [last] = await tx<{ to_person: string; handed_at: Date }[]>`SELECT to_person, handed_at FROM custody_transfer
      WHERE account_id = current_account() AND site_id = ${siteId} AND item_id = ${itemId} ORDER BY handed_at DESC, recorded_at DESC LIMIT 1`;
    const holder = last?.to_person ?? item.removed_by;
    if (holder.toLowerCase() !== from.toLowerCase())
      throw new AppError("conflict", {
        message: `The part is held by ${holder} by what is written, so only ${holder} can hand it over. Enter the handover that is missing first.`,
      });
    const at = await timeAt(tx, siteId, body.handedAt, now);
    const after = last?.handed_at ?? item.removed_at;
    if (at < after)
      throw new AppError("wrong_use", {
        message: `The handover must come after ${after.toISOString()}, when it was taken before.`,
      });
    await tx`INSERT INTO custody_transfer
        (account_id, site_id, transfer_id, item_id, from_person, to_person, stored_at, sealed, signed_from, signed_to, handed_at, recorded_by)
      VALUES (current_account(), ${siteId}, ${id}, ${itemId}, ${from}, ${body.to}, ${body.storedAt}, ${body.sealed}, ${body.signedFrom},
        ${body.signedTo}, ${at}, ${actor.person})`;
    return { result: null, note: { action: "custody.handover", subject: siteId, detail: { transferId: id, ...body } } };
  });
  return { transfer_id: id };
}
