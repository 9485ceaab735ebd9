"use client";

import { useEffect, useState } from "react";
import { Trouble } from "@/app/_ui/said.tsx";
import { SentPicture } from "@/app/_ui/sent-picture.tsx";
import { positionNow, shrinkPhoto } from "@/app/_ui/shrink-photo.ts";
import { WORK_ITEM } from "@/app/_words/visit.ts";
import type { ChecklistItem } from "@/lib/reads/documents.ts";
import type { PhotoView } from "@/lib/reads/visits-view.ts";
import { itemKey } from "@/lib/visit/visit-records.ts";
import { checkAnchor, checkName } from "./check-index.tsx";
import { KeptReadings } from "./kept-readings.tsx";
import { Note } from "./note.tsx";
import { ownCaution } from "./own-caution.ts";
import { ReadingForm } from "./reading-form.tsx";
import { fieldOf, type VisitLog } from "./use-visit-log.ts";
import { type HeldPhoto, holdPhoto } from "./visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

interface Props {
  item: ChecklistItem;
  number: number;
  log: VisitLog;
  worker: Worker;
  place: { visitId: string; siteId: string };
  points: string[][];
  stopStands: boolean;
  /** Photos of this visit that the server holds. */
  sent: readonly PhotoView[];
}

const OUTCOMES = ["pass", "fail", "unable"] as const;

export function WorkItem({ item, number, log, worker, place, points, stopStands, sent }: Props) {
  const key = itemKey(item.check, item.section_id, item.inverter_id);
  const outcome = fieldOf(log.edits, key, "outcome", worker.name);
  return (
    <section id={checkAnchor(number)} className="work-item" data-work={item.check} aria-label={WORK_ITEM.check(number)}>
      <h3>
        {number}. {checkName(item)}
      </h3>
      <p className={item.unit === "volt" || item.unit === "ohm" ? "note danger" : "note"}>
        <strong>{WORK_ITEM.caution}</strong> {ownCaution(item.caution)}
      </p>
      <p>{item.says}</p>
      {(item.for_coverage ?? []).map((says) => (
        <p key={says}>
          <strong>{WORK_ITEM.forWarrantyAndCover}</strong> {says}
        </p>
      ))}
      <p>
        <strong>{WORK_ITEM.accept}</strong> {item.accept}
      </p>
      <p>{WORK_ITEM.reference(item.code_reference ?? WORK_ITEM.none)}</p>
      {item.unit ? <ReadingForm item={item} itemId={key} log={log} worker={worker} points={points} /> : null}
      <KeptReadings edits={log.edits} itemId={key} />
      <div className="big-buttons">
        {OUTCOMES.map((one) => (
          <button
            key={one}
            type="button"
            aria-pressed={outcome.own === one}
            disabled={stopStands && one !== "unable"}
            onClick={() => log.write(key, "outcome", one, worker.name)}
          >
            {one}
          </button>
        ))}
      </div>
      {stopStands ? <p className="note danger">{WORK_ITEM.aStopStandsNo}</p> : null}
      {outcome.decided ? (
        <p className="note">{WORK_ITEM.decidedAllAnswersAre(outcome.decided.by, outcome.decided.value)}</p>
      ) : (
        outcome.others.map((one) => (
          <p key={one.by} className="note danger">
            {WORK_ITEM.twoAnswersSaysBoth(one.by, one.value)}
          </p>
        ))
      )}
      <Photos itemId={key} log={log} worker={worker} place={place} sent={sent} />
      <Note itemId={key} field="note" label={WORK_ITEM.note} log={log} worker={worker} />
    </section>
  );
}

interface PhotosProps {
  itemId: string;
  log: VisitLog;
  worker: Worker;
  place: Props["place"];
  sent: readonly PhotoView[];
}
function Photos({ itemId, log, worker, place, sent }: PhotosProps) {
  const [trouble, setTrouble] = useState<string | null>(null);
  const mine = log.photos.filter((photo) => photo.item === itemId);
  const add = async (files: FileList | null) => {
    setTrouble(null);
    for (const file of files ?? []) {
      try {
        const picture = await shrinkPhoto(file);
        const position = worker.keepPlace ? await positionNow() : null;
        const taken_at = worker.keepPlace ? Date.now() : null;
        await holdPhoto({ visit_id: place.visitId, site_id: place.siteId, item: itemId, picture, taken_at, position });
        await log.refresh();
      } catch (error) {
        setTrouble((error as Error).message);
      }
    }
    log.send();
  };
  const held = new Set(mine.map((photo) => photo.photo_id));
  return (
    <div>
      <label className="button photo-button">
        {WORK_ITEM.addPhotos}
        <input type="file" accept="image/*" multiple onChange={(event) => add(event.target.files)} />
      </label>
      {mine.length > 0 ? <p>{mine.length === 1 ? WORK_ITEM.photoKept : WORK_ITEM.photosKept(mine.length)}</p> : null}
      <ul className="photos">
        {mine.map((photo) => (
          <HeldPicture key={photo.photo_id} photo={photo} />
        ))}
        {sent
          .filter((photo) => photo.item === itemId && !held.has(photo.photoId))
          .map((photo) => (
            <SentPicture key={photo.photoId} photo={photo} />
          ))}
      </ul>
      <Trouble says={trouble} />
    </div>
  );
}

/** A photo on this phone, also without signal. */
function HeldPicture({ photo }: { photo: HeldPhoto }) {
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(photo.picture);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [photo.picture]);
  return (
    <li>
      {url ? <img src={url} alt={photo.waiting ? WORK_ITEM.takenHereWaitsTo : WORK_ITEM.takenHere} /> : null}
      {photo.waiting ? WORK_ITEM.waitsToBeSent : null}
      {photo.refused ? <span className="note danger">{WORK_ITEM.notTakenItStays(photo.refused)}</span> : null}
    </li>
  );
}
