"use client";

import { shrinkPhoto } from "@/app/_ui/shrink-photo.ts";
import { MAKE_SAFE_STEP } from "@/app/_words/site-make-safe.ts";

interface Place {
  siteId: string;
  makeSafeId: string;
}

/**
 * The body of a step from its form; a photo goes ahead of it.
 * @throws Error with a sentence when the photo is missing or the server refuses it
 */
export async function readStep(kind: string, form: FormData, place: Place): Promise<Record<string, unknown>> {
  const text = (name: string) => String(form.get(name) ?? "").trim();
  const ticked = (name: string) => form.get(name) === "on";
  const licensed = () => ({ licence: text("licence"), qualified: ticked("qualified") });
  const step = { kind, by: text("by") };
  if (step.by === "") throw new Error(MAKE_SAFE_STEP.writeYourNameWithout);
  switch (kind) {
    case "owner_told":
      return {
        ...step,
        whom: text("whom"),
        means: text("means"),
        keepOff: ticked("keepOff"),
        noReset: ticked("noReset"),
      };
    case "isolated": {
      if (text("lock") === "") throw new Error(MAKE_SAFE_STEP.writeTheNumberOf);
      return { ...step, lock: text("lock"), photo: await sendPhoto(form.get("photo"), place) };
    }
    case "repaired": {
      const [repairedAt = "", cause = ""] = text("onRecord").split("/");
      const isKnown = repairedAt !== "";
      if (!isKnown && text("cause") === "") throw new Error(MAKE_SAFE_STEP.chooseTheCauseThat);
      return {
        ...{ ...step, cause: isKnown ? cause : text("cause"), action: text("action"), confirmed: ticked("confirmed") },
        ...{ sectionId: text("sectionId") || null, inverterId: text("inverterId") || null },
        repairedAt: isKnown ? Number(repairedAt) : null,
      };
    }
    case "tested":
      if (["continuity", "insulation", "surface"].some((name) => text(name) === ""))
        throw new Error(MAKE_SAFE_STEP.sayHowContinuityAnd);
      return {
        ...{ ...step, continuity: text("continuity"), insulation: text("insulation") },
        ...{ surface: text("surface"), readings: text("readings") },
      };
    case "authorised":
      return { ...step, ...licensed() };
    case "released":
      return { ...step, reason: text("reason"), ...licensed() };
    default:
      return step;
  }
}

async function sendPhoto(file: FormDataEntryValue | null, { siteId, makeSafeId }: Place): Promise<string> {
  if (!(file instanceof File) || file.size === 0) throw new Error(MAKE_SAFE_STEP.takeAPhotoOf);
  const photo_id = crypto.randomUUID();
  const query = new URLSearchParams({ photo_id, visit_id: makeSafeId, site_id: siteId, item: "lock" });
  query.set("taken_at", String(Date.now()));
  const reply = await fetch(`/api/visits/photos?${query}`, { method: "POST", body: await shrinkPhoto(file) });
  const said = (await reply.json().catch(() => null)) as { error?: { message?: string } } | null;
  if (!reply.ok) throw new Error(said?.error?.message ?? MAKE_SAFE_STEP.theServerAnswered(reply.status));
  return photo_id;
}
