"use client";

import { postJson } from "@/app/_ui/post-json.ts";
import { When } from "@/app/_ui/when.tsx";
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
    return "Entered.";
  };
  return (
    <section aria-label="Removed parts">
      <h2>Removed parts and their custody ({view.parts.length})</h2>
      <p className="soft">
        A part that is thrown away proves nothing. Photograph it where it sits, tag it, bag it, store it; both sign at
        each handover. On a claim site ask the carrier before anything is altered, unless people are in danger now.
      </p>
      {view.parts.map((p) => (
        <Part key={p.itemId} part={p} siteId={siteId} zone={timeZone} />
      ))}
      <details>
        <summary>Enter a removed part</summary>
        <PostForm name="Enter a removed part" button="Enter the part" send={enter}>
          <Field label="Number on the tag" name="tag" required />
          <Field label="What it is" name="what" required />
          <Field label="Where it sat" name="placeFound" required />
          <Field label={`Taken off at (${timeZone})`} name="removedAt" type="datetime-local" required />
          <Field label="Taken off by, full name" name="removedBy" required />
          <FileField label="Photo in place, before it was taken off" name="photo" accept={PICTURE_ACCEPT} />
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
    return "Entered.";
  };
  return (
    <article className="panel" data-part={part.tag}>
      <strong>
        {part.tag}: {part.what}
      </strong>
      <p>
        Sat at {part.placeFound}; taken off <When at={part.removedAt} zone={zone} /> by {part.removedBy};{" "}
        {part.documentId ? "photographed in place" : <strong>no photo in place</strong>}. Held by {part.heldBy}.
      </p>
      <ol>
        {part.transfers.map((t) => (
          <li key={`${t.handedAt} ${t.to}`}>
            <When at={t.handedAt} zone={zone} />: {t.from} to {t.to}, kept at {t.storedAt},{" "}
            {t.sealed ? "sealed" : "not sealed"}; signed {t.signedFrom} and {t.signedTo}
          </li>
        ))}
      </ol>
      <details>
        <summary>Hand {part.tag} over</summary>
        <PostForm name={`Hand ${part.tag} over`} button="Enter the handover" send={hand}>
          <Field label="To, full name" name="to" required />
          <Field label="Kept at" name="storedAt" required />
          <Field label={`Handed over at (${zone})`} name="handedAt" type="datetime-local" required />
          <label className="tick">
            <input type="checkbox" name="sealed" /> bag sealed
          </label>
          <Field label={`Signature of ${part.heldBy}, typed`} name="signedFrom" required />
          <Field label="Signature of who takes it, typed" name="signedTo" required />
        </PostForm>
      </details>
    </article>
  );
}
