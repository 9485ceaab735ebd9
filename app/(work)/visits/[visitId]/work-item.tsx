"use client";

import { useState } from "react";
import { words } from "@/app/_ui/format.ts";
import type { ChecklistItem } from "@/lib/reads/documents.ts";
import { readEntry } from "@/lib/visit/reading-entry.ts";
import { type EnteredReading, itemKey } from "@/lib/visit/visit-records.ts";
import { positionNow, shrinkPhoto } from "./shrink-photo.ts";
import { fieldOf, type VisitLog } from "./use-visit-log.ts";
import { holdPhoto } from "./visit-log.ts";

export interface Worker {
  name: string;
  licence: string;
  /** Keep the time and place of photos. */
  keepPlace: boolean;
}

interface Props {
  item: ChecklistItem;
  number: number;
  log: VisitLog;
  worker: Worker;
  place: { visitId: string; siteId: string };
}

const OUTCOMES = ["pass", "fail", "unable"] as const;

export function WorkItem({ item, number, log, worker, place }: Props) {
  const key = itemKey(item.check, item.section_id, item.inverter_id);
  const outcome = fieldOf(log.edits, key, "outcome", worker.name);
  return (
    <section className="work-item" data-work={item.check} aria-label={`Check ${number}`}>
      <h3>
        {number}. {words(item.check)}
        {item.section_id ? `, section ${item.section_id}` : ""}
        {item.inverter_id ? `, inverter ${item.inverter_id}` : ""}
      </h3>
      <p>{item.says}</p>
      <p>
        <strong>Accept:</strong> {item.accept}
      </p>
      <details>
        <summary>Cautions and reference</summary>
        <p>{item.caution}</p>
        <p>{item.code_reference}</p>
      </details>
      {item.unit ? <Reading item={item} itemId={key} log={log} worker={worker} /> : null}
      <div className="big-buttons">
        {OUTCOMES.map((one) => (
          <button
            key={one}
            type="button"
            aria-pressed={outcome.own === one}
            onClick={() => log.write(key, "outcome", one, worker.name)}
          >
            {one}
          </button>
        ))}
      </div>
      {outcome.others.map((one) => (
        <p key={one.by} className="note danger">
          Two answers: {one.by} says {one.value}. Both are kept, and the worse one counts.
        </p>
      ))}
      <Photos itemId={key} log={log} worker={worker} place={place} />
      <Note itemId={key} field="note" label="Note" log={log} worker={worker} />
    </section>
  );
}

const NO_READING = { text: "", quantity: null, meter: "unknown", method: null, pointA: null, pointB: null } as const;

function readingFrom(text: string): Partial<EnteredReading> {
  try {
    return text ? (JSON.parse(text) as Partial<EnteredReading>) : {};
  } catch {
    return {};
  }
}

function Reading({
  item,
  itemId,
  log,
  worker,
}: {
  item: ChecklistItem;
  itemId: string;
  log: VisitLog;
  worker: Worker;
}) {
  const kept = readingFrom(fieldOf(log.edits, itemId, "reading", worker.name).own);
  const [typed, setTyped] = useState<Partial<EnteredReading>>({});
  const now: EnteredReading = { ...NO_READING, unit: item.unit, ...kept, ...typed, licence: worker.licence || null };
  const judge = (reading: EnteredReading) =>
    readEntry({
      ...{ check: item.check, text: reading.text, unit: item.unit, quantity: reading.quantity },
      ...{ meterImpedance: reading.meter, method: reading.method as never },
    });
  const keep = (reading: EnteredReading) => log.write(itemId, "reading", JSON.stringify(reading), worker.name);
  const change = (part: Partial<EnteredReading>) => {
    setTyped({ ...typed, ...part });
    const next = { ...now, ...part };
    const said = judge(next);
    // More digits only make a voltage larger: a stop is kept the moment it is typed.
    if (said.kind === "judged" && said.verdict === "stop") void keep(next);
  };
  const answer = judge(now);
  const verdict = answer.kind === "judged" ? answer.verdict : answer.kind;
  return (
    <div className="reading">
      <label>
        Value, {item.unit}
        <input
          inputMode={item.unit === "awg" ? "text" : "decimal"}
          value={now.text}
          onChange={(event) => change({ text: event.target.value })}
        />
      </label>
      {item.unit === "volt" ? (
        <>
          <Choice label="Kind" value={now.quantity ?? ""} onPick={(v) => change({ quantity: (v || null) as never })}>
            {[
              ["", "not said"],
              ["ac_rms", "AC"],
              ["dc", "DC"],
            ]}
          </Choice>
          <Choice label="Meter impedance" value={now.meter} onPick={(v) => change({ meter: v as never })}>
            {[
              ["unknown", "not known"],
              ["high", "high"],
              ["low", "low"],
            ]}
          </Choice>
        </>
      ) : null}
      {item.unit === "ohm" ? (
        <Choice label="Method" value={now.method ?? ""} onPick={(v) => change({ method: v || null })}>
          {[
            ["", "not said"],
            ["two_lead", "two leads"],
            ["four_wire", "four wires"],
            ["clamp", "clamp"],
            ["fall_of_potential", "fall of potential"],
          ]}
        </Choice>
      ) : null}
      {answer.kind === "empty" ? null : (
        <p className="verdict" data-verdict={verdict} aria-live="polite">
          <strong>{words(verdict)}:</strong> {answer.says}
        </p>
      )}
      {answer.kind === "judged" || answer.kind === "ask" ? (
        <button type="button" className="big" onClick={() => keep(now).then(() => setTyped({}))}>
          {answer.kind === "ask" ? "It is right as typed: keep it" : "Keep the reading"}
        </button>
      ) : null}
    </div>
  );
}

interface ChoiceProps {
  label: string;
  value: string;
  onPick: (value: string) => void;
  children: string[][];
}
function Choice({ label, value, onPick, children }: ChoiceProps) {
  return (
    <label>
      {label}
      <select value={value} onChange={(event) => onPick(event.target.value)}>
        {children.map(([id, name]) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}

function Photos({
  itemId,
  log,
  worker,
  place,
}: {
  itemId: string;
  log: VisitLog;
  worker: Worker;
  place: Props["place"];
}) {
  const [trouble, setTrouble] = useState<string | null>(null);
  const mine = log.photos.filter((photo) => photo.item === itemId).length;
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
  return (
    <div>
      <label className="big">
        Add photos
        <input type="file" accept="image/*" multiple onChange={(event) => add(event.target.files)} />
      </label>
      {mine > 0 ? <p>{mine === 1 ? "1 photo kept" : `${mine} photos kept`}</p> : null}
      {trouble ? <p className="note danger">{trouble}</p> : null}
    </div>
  );
}

interface NoteProps {
  itemId: string;
  field: string;
  label: string;
  log: VisitLog;
  worker: Worker;
}
/** A text that is kept when it is left. */
export function Note({ itemId, field, label, log, worker }: NoteProps) {
  const { own } = fieldOf(log.edits, itemId, field, worker.name);
  const [typed, setTyped] = useState<string | null>(null);
  const leave = () => {
    if (typed !== null && typed !== own) void log.write(itemId, field, typed, worker.name).then(() => setTyped(null));
  };
  return (
    <label>
      {label}
      <textarea rows={2} value={typed ?? own} onChange={(event) => setTyped(event.target.value)} onBlur={leave} />
    </label>
  );
}
