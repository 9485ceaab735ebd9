"use client";

import { useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { When } from "@/app/_ui/when.tsx";
import { CONFLICTS } from "@/app/_words/visit.ts";
import { type ResolvedField, resolutionField } from "@/lib/visit/resolution.ts";
import { readingOf, sharedFields } from "@/lib/visit/visit-records.ts";
import { sayItem } from "./off-the-list.tsx";
import type { VisitLog } from "./use-visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

/** Where two people differ: both values with who and when, and who decides. */
export function Conflicts({ log, worker }: { log: VisitLog; worker: Worker }) {
  const shared = sharedFields(log.edits);
  const open = shared.filter((one) => one.conflict);
  const decided = shared.filter((one) => one.resolved !== null);
  if (open.length + decided.length === 0) return null;
  return (
    <section aria-label={CONFLICTS.whereTwoPeopleDiffer} data-conflicts={open.length}>
      <h2>{CONFLICTS.whereTwoPeopleDiffer2(open.length)}</h2>
      {open.map((one) => (
        <Conflict key={`${one.item}/${one.field}`} conflict={one} log={log} worker={worker} />
      ))}
      {decided.map((one) => (
        <div key={`${one.item}/${one.field}`} className="note">
          <strong>
            {sayItem(one.item)}, {fieldName(one.field)}
          </strong>
          <Values field={one} />
          <p>
            {one.resolved?.by}
            {CONFLICTS.licence} {one.resolved?.licence}
            {CONFLICTS.decided} {one.resolved?.value}. {one.resolved?.reason}
          </p>
        </div>
      ))}
    </section>
  );
}

const fieldName = (field: string) => (field.startsWith("reading") ? "reading" : words(field));

function Values({ field }: { field: ResolvedField }) {
  return (
    <ul>
      {field.values.map(({ by, value, at }) => {
        const reading = readingOf({ field: field.field, value });
        const said = reading ? `${reading.text} ${reading.unit ?? ""}` : value || "nothing";
        return (
          <li key={by}>
            {said}: {by}, <When at={new Date(at).toISOString()} />
          </li>
        );
      })}
    </ul>
  );
}

function Conflict({ conflict, log, worker }: { conflict: ResolvedField; log: VisitLog; worker: Worker }) {
  const [reason, setReason] = useState("");
  const { item, field, values } = conflict;
  const isReading = field.startsWith("reading");
  const may = worker.name.trim() !== "" && worker.licence.trim() !== "" && worker.qualified;
  const decide = (value: string) => {
    const among = values.map((one) => ({ by: one.by, value: one.value }));
    const word = { value, among, licence: worker.licence.trim(), qualified: worker.qualified, reason: reason.trim() };
    return log.write(item, resolutionField(field), JSON.stringify(word), worker.name);
  };
  return (
    <div className="note danger">
      <strong>
        {sayItem(item)}, {fieldName(field)}
      </strong>
      <Values field={conflict} />
      {isReading ? (
        <p>{CONFLICTS.readingsAreNotChosen}</p>
      ) : (
        <>
          <label>
            {CONFLICTS.why}
            <textarea rows={2} value={reason} onChange={(event) => setReason(event.target.value)} />
          </label>
          <div className="big-buttons">
            {[...new Set(values.map((one) => one.value))].map((value) => (
              <button key={value} type="button" disabled={!may} onClick={() => decide(value)}>
                {CONFLICTS.decide(value || CONFLICTS.nothing)}
              </button>
            ))}
          </div>
          {may ? null : <p>{CONFLICTS.aQualifiedPersonDecides}</p>}
        </>
      )}
    </div>
  );
}
