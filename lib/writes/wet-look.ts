import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { queuedVisits } from "../reads/queue.ts";
import type { Actor } from "../store/actor.ts";
import { sitesOf } from "../store/site-records.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { addWetLook, endWetLook, openWetLooks } from "../store/wet-looks.ts";
import { wetLook } from "../visit/wet-look.ts";

const reason = z.string().trim().min(1, "say why").max(1000);

export const WetLookBody = z.discriminatedUnion("act", [
  z.object({ act: z.literal("allow"), name: z.string().trim().min(3, "your full name").max(200), reason }),
  z.object({ act: z.literal("end"), reason }),
]);

/**
 * Allow one visit to be made as a look at ground level while surfaces are wet, by name, or end that. Nothing else ever
 * takes anybody to wet metal.
 * @throws AppError `not_found`; `conflict` where it is allowed already, or not, or can never be
 */
export async function changeWetLook(
  actor: Actor,
  visitId: string,
  body: z.infer<typeof WetLookBody>,
): Promise<{ allowed: boolean }> {
  authorise(actor, "wet_look.allow");
  return writeTransaction<{ allowed: boolean }>(actor, async (tx) => {
    if (body.act === "end") {
      if (!(await endWetLook(tx, visitId, actor.person, body.reason)))
        throw new AppError("conflict", { message: "Nobody allows this visit in the wet now." });
      const note = { action: "wet_look.end", subject: visitId, detail: { reason: body.reason } };
      return { result: { allowed: false }, note };
    }
    const siteId = await requireFit(tx, visitId);
    if ((await openWetLooks(tx)).has(visitId))
      throw new AppError("conflict", { message: "This visit is allowed in the wet already." });
    await addWetLook(tx, { visitId, siteId, allowedBy: body.name, person: actor.person, reason: body.reason });
    const detail = { site: siteId, name: body.name, reason: body.reason };
    return { result: { allowed: true }, note: { action: "wet_look.allow", subject: visitId, detail } };
  });
}

/** @returns the visit's site */
async function requireFit(tx: Sql, visitId: string): Promise<string> {
  const [visit] = await queuedVisits(tx, [visitId]);
  if (!visit) throw new AppError("not_found", { message: `There is no visit "${visitId}" in the queue.` });
  if (visit.urgency === "make_safe")
    throw new AppError("conflict", {
      message: "The site waits to be made safe: nobody goes there for a look in the wet before that is done.",
    });
  const site = (await sitesOf(tx, [visit.site_id])).get(visit.site_id);
  if (!wetLook(visit.checklist, site?.mounting ?? null))
    throw new AppError("conflict", {
      message: "Nothing on its checklist can be looked at from the ground without a measurement.",
    });
  return visit.site_id;
}
