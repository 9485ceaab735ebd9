"use client";

import { postJson } from "@/app/_ui/post-json.ts";
import { When } from "@/app/_ui/when.tsx";
import { CUSTODY } from "@/app/_words/coverage.ts";
import type { PartLine, SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { Field, FileField, PostForm } from "../../post-form.tsx";
import { fileOf, PICTURE_ACCEPT, sendPaper, textOf } from "../../send-paper.ts";

/** Parts that came off the site, and through whose hands they went. */
export function Custody({ view }: { view: SiteCoverageView }) {
  const { siteId, timeZone } = view.site;
  const enter = async (form: FormData) => {
    const photo = fileOf(form, "photo");
    const documentId = photo ? await sendPaper(photo, { siteId, coverageId: null, kind: "part_photo" }) : null;
    await postJson("/api/pages/coverage/parts", {
      ...{
        siteId,
        documentId,
        tag: textOf(form, "tag"),
        what: textOf(form, "what"),
        placeFound: textOf(form, "placeFound"),
      },
      ...{ removedBy: textOf(form, "removedBy"), removedAt: textOf(form, "removedAt") },
    });
    return CUSTODY.entered;
  };
  return (
    <section aria-label={CUSTODY.removedParts}>
      <h2>{CUSTODY.removedPartsAndTheir(view.parts.length)}</h2>
      <p className="soft">{CUSTODY.aPartThatIs}</p>
      {view.parts.map((p) => (
        <Part key={p.itemId} part={p} siteId={siteId} zone={timeZone} />
      ))}
      <details>
        <summary>{CUSTODY.enterARemovedPart}</summary>
        <PostForm name="Enter a removed part" button={CUSTODY.enterThePart} send={enter}>
          <Field label={CUSTODY.numberOnTheTag} name="tag" required />
          <Field label={CUSTODY.whatItIs} name="what" required />
          <Field label={CUSTODY.whereItSat} name="placeFound" required />
          <Field label={CUSTODY.takenOffAt(timeZone)} name="removedAt" type="datetime-local" required />
          <Field label={CUSTODY.takenOffByFull} name="removedBy" required />
          <FileField label={CUSTODY.photoInPlaceBefore} name="photo" accept={PICTURE_ACCEPT} />
        </PostForm>
      </details>
    </section>
  );
}

function Part({ part, siteId, zone }: { part: PartLine; siteId: string; zone: string }) {
  const hand = async (form: FormData) => {
    await postJson("/api/pages/coverage/handovers", {
      ...{ siteId, itemId: part.itemId, from: part.heldBy, to: textOf(form, "to"), storedAt: textOf(form, "storedAt") },
      ...{
        sealed: form.get("sealed") === "on",
        signedFrom: textOf(form, "signedFrom"),
        signedTo: textOf(form, "signedTo"),
      },
      handedAt: textOf(form, "handedAt"),
    });
    return CUSTODY.entered;
  };
  return (
    <article className="panel" data-part={part.tag}>
      <strong>
        {part.tag}: {part.what}
      </strong>
      <p>
        {CUSTODY.satAtTakenOff(part.placeFound)} <When at={part.removedAt} zone={zone} /> {CUSTODY.by(part.removedBy)}{" "}
        {part.documentId ? CUSTODY.photographedInPlace : <strong>{CUSTODY.noPhotoInPlace}</strong>}
        {CUSTODY.heldBy(part.heldBy)}
      </p>
      <ol>
        {part.transfers.map((t) => (
          <li key={`${t.handedAt} ${t.to}`}>
            <When at={t.handedAt} zone={zone} />
            {CUSTODY.toKeptAtSigned(
              t.from,
              t.to,
              t.storedAt,
              t.sealed ? CUSTODY.sealed : CUSTODY.notSealed,
              t.signedFrom,
              t.signedTo,
            )}
          </li>
        ))}
      </ol>
      <details>
        <summary>{CUSTODY.handOver(part.tag)}</summary>
        <PostForm name={`Hand ${part.tag} over`} button={CUSTODY.enterTheHandover} send={hand}>
          <Field label={CUSTODY.toFullName} name="to" required />
          <Field label={CUSTODY.keptAt} name="storedAt" required />
          <Field label={CUSTODY.handedOverAt(zone)} name="handedAt" type="datetime-local" required />
          <label className="tick">
            <input type="checkbox" name="sealed" /> {CUSTODY.bagSealed}
          </label>
          <Field label={CUSTODY.signatureOfTyped(part.heldBy)} name="signedFrom" required />
          <Field label={CUSTODY.signatureOfWhoTakes} name="signedTo" required />
        </PostForm>
      </details>
    </article>
  );
}
