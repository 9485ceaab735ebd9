"use client";

import { useEffect, useRef, useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { READING_FORM } from "@/app/_words/visit.ts";
import type { ChecklistItem } from "@/lib/reads/documents.ts";
import { type EntryAnswer, readEntry } from "@/lib/visit/reading-entry.ts";
import { typedStop } from "@/lib/visit/stop-draft.ts";
import type { VisitEdit } from "@/lib/visit/visit-edits.ts";
import { type EnteredReading, voltReadings } from "@/lib/visit/visit-records.ts";
import { Choice } from "./choice.tsx";
import { InstrumentFields, useInstrument } from "./instrument-fields.tsx";
import type { VisitLog } from "./use-visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

/** A stop is kept when no digit has followed for this long, if the field was not left before. */
const KEEP_STOP_AFTER_MS = 800;

const KINDS = [
  ["", READING_FORM.notSaid],
  ["ac_rms", "AC"],
  ["dc", "DC"],
];
const METERS = [
  ["unknown", READING_FORM.notKnown],
  ["high", "high"],
  ["low", "low"],
];
const METHODS = [
  ["", READING_FORM.notSaid],
  ["two_lead", READING_FORM.twoLeads],
  ["four_wire", READING_FORM.fourWires],
  ["clamp", "clamp"],
  ["fall_of_potential", READING_FORM.fallOfPotential],
];

interface Props {
  item: ChecklistItem;
  itemId: string;
  log: VisitLog;
  worker: Worker;
  /** Between what a reading can be taken, as value and name. */
  points: string[][];
}

type Typed = Omit<EnteredReading, "licence" | "qualified" | "instrument" | "calibratedOn">;

function blank(item: ChecklistItem): Typed {
  const here = item.section_id
    ? `section:${item.section_id}`
    : item.inverter_id
      ? `inverter:${item.inverter_id}`
      : null;
  const pointA = takesPoints(item) ? (here ?? (item.unit === "volt" ? "ground_bus" : null)) : null;
  return { text: "", unit: item.unit, quantity: null, meter: "unknown", method: null, pointA, pointB: null };
}

const takesPoints = ({ unit, check }: ChecklistItem) =>
  unit === "volt" || (unit === "ohm" && check !== "insulation_resistance");

export function ReadingForm({ item, itemId, log, worker, points }: Props) {
  const [typed, setTyped] = useState<Typed>(() => blank(item));
  const [answer, setAnswer] = useState<EntryAnswer | null>(null);
  /** Whether the question stood on the screen when the button was pressed, and not only because it was pressed. */
  const wasAsked = useRef(false);
  const [instrument, setInstrument] = useInstrument(item.unit);
  const stop = useTypedStop(log);
  const judge = ({ text, quantity, meter, method }: Typed) =>
    readEntry({
      ...{ check: item.check, text, unit: item.unit, quantity, meterImpedance: meter, method: method as never },
    });
  const edit = (reading: Typed) => {
    const whole: EnteredReading = {
      ...{ ...reading, licence: worker.licence.trim() || null, qualified: worker.qualified },
      ...{ instrument: instrument.serial.trim() || null, calibratedOn: instrument.calibratedOn || null },
    };
    return log.compose(itemId, "reading", JSON.stringify(whole), worker.name);
  };
  const change = (part: Partial<Typed>, complete: boolean) => {
    const next = { ...typed, ...part };
    const said = judge(next);
    const stops = said.kind === "judged" && said.verdict === "stop";
    setTyped(next);
    setAnswer(complete || stops ? said : null);
    if (stops) stop.raise(edit(next));
    else stop.leave();
  };
  const complete = () => {
    setAnswer(judge(typed));
    stop.keepNow();
  };
  const press = (byKeyboard: boolean) => {
    const said = judge(typed);
    setAnswer(said);
    const asked = byKeyboard ? answer?.kind === "ask" : wasAsked.current;
    if (said.kind === "judged" ? said.verdict === "stop" : said.kind !== "ask" || !asked) return stop.keepNow();
    void log.keep(edit(typed));
    stop.leave();
    setTyped({ ...typed, text: "" });
    setAnswer(null);
  };
  const verdict = answer?.kind === "judged" ? answer.verdict : answer?.kind;
  return (
    <div className="reading">
      <Circumstances item={item} typed={typed} points={points} onPick={(part) => change(part, true)} />
      {item.unit === "awg" ? null : <InstrumentFields instrument={instrument} onChange={setInstrument} />}
      <label>
        {READING_FORM.value} {item.unit}
        <input
          inputMode={item.unit === "awg" ? "text" : "decimal"}
          value={typed.text}
          onChange={(event) => change({ text: event.target.value }, false)}
          onBlur={complete}
          onKeyDown={(event) => (event.key === "Enter" ? complete() : undefined)}
        />
      </label>
      <button
        type="button"
        className="big"
        onPointerDown={() => {
          wasAsked.current = answer?.kind === "ask";
        }}
        onClick={(event) => press(event.detail === 0)}
      >
        {answer?.kind === "ask" ? READING_FORM.itIsRightAs : READING_FORM.keepTheReading}
      </button>
      {answer === null || answer.kind === "empty" ? null : (
        <p className="verdict" data-verdict={verdict} aria-live="polite">
          <strong>{words(verdict ?? "")}:</strong> {answer.says}
        </p>
      )}
    </div>
  );
}

interface CircumstancesProps {
  item: ChecklistItem;
  typed: Typed;
  points: string[][];
  onPick: (part: Partial<Typed>) => void;
}
/** How and between what it is read: said before the value, so that the value can be judged. */
function Circumstances({ item, typed, points, onPick }: CircumstancesProps) {
  return (
    <>
      {item.unit === "volt" ? (
        <Choice
          label={READING_FORM.kind}
          value={typed.quantity ?? ""}
          onPick={(v) => onPick({ quantity: (v || null) as never })}
        >
          {KINDS}
        </Choice>
      ) : null}
      {takesPoints(item) ? (
        <>
          <Choice
            label={READING_FORM.readFrom}
            value={typed.pointA ?? ""}
            onPick={(v) => onPick({ pointA: v || null })}
          >
            {points}
          </Choice>
          <Choice label={READING_FORM.readTo} value={typed.pointB ?? ""} onPick={(v) => onPick({ pointB: v || null })}>
            {points}
          </Choice>
        </>
      ) : null}
      {item.unit === "volt" ? (
        <Choice label={READING_FORM.meterImpedance} value={typed.meter} onPick={(v) => onPick({ meter: v as never })}>
          {METERS}
        </Choice>
      ) : null}
      {item.unit === "ohm" ? (
        <Choice label={READING_FORM.method} value={typed.method ?? ""} onPick={(v) => onPick({ method: v || null })}>
          {METHODS}
        </Choice>
      ) : null}
    </>
  );
}

/** Shows a stop at once and keeps it once: when the field is left, or when no digit follows. */
function useTypedStop(log: VisitLog) {
  const held = useRef<VisitEdit | null>(null);
  /** The stop that still rests in the field, held or kept. */
  const resting = useRef<string | null>(null);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  const { keep } = log;
  const keepNow = () => {
    clearTimeout(timer.current);
    const edit = held.current;
    held.current = null;
    if (edit) void keep(edit);
  };
  const latest = useRef(keepNow);
  latest.current = keepNow;
  useEffect(() => {
    const keepLast = () => latest.current();
    window.addEventListener("pagehide", keepLast);
    return () => {
      window.removeEventListener("pagehide", keepLast);
      keepLast();
    };
  }, []);
  const raise = (edit: VisitEdit) => {
    const [typed] = voltReadings([edit]);
    if (!typed || (held.current === null && resting.current === whatOf(edit))) return;
    const [before = null] = held.current ? voltReadings([held.current]) : [];
    // The meter, the kind or a point may be said while the value rests: then it is the newer words that count.
    const same = before !== null && Math.abs(before.volts) === Math.abs(typed.volts);
    const stop = same ? { ...typed, id: before.id } : typedStop(before, typed);
    if (stop === null || stop === before) return;
    held.current = { ...edit, edit_id: stop.id };
    resting.current = whatOf(edit);
    log.raise(held.current);
    clearTimeout(timer.current);
    timer.current = setTimeout(() => latest.current(), KEEP_STOP_AFTER_MS);
  };
  /** What is typed is no stop any more: the next one is a new one, even with the same number. */
  const leave = () => {
    resting.current = null;
  };
  return { raise, keepNow, leave };
}

/** What was measured, apart from who read it with which meter: one stop is not written twice for a word about it. */
function whatOf({ value }: VisitEdit): string {
  const { text, quantity, pointA, pointB } = JSON.parse(value) as EnteredReading;
  return JSON.stringify([text, quantity, pointA, pointB]);
}
