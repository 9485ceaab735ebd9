"use client";

import { useEffect, useRef } from "react";
import { STOP_SCREEN } from "@/app/_words/visit.ts";
import type { VoltReading } from "@/lib/visit/stop-rule.ts";

/** Somebody may still be typing: the focus is taken when the value has rested this long. */
const TAKE_FOCUS_AFTER_MS = 900;

/** Fills the screen the moment a stop is typed; waits for no network and no save. */
export function StopScreen({ stop, phone, onRead }: { stop: VoltReading; phone: string | null; onRead: () => void }) {
  const box = useRef<HTMLDivElement>(null);
  // Another value means that somebody is still typing.
  useEffect(() => {
    const timer = setTimeout(() => box.current?.focus(), TAKE_FOCUS_AFTER_MS);
    return () => clearTimeout(timer);
  }, [stop.id, stop.volts]);
  const kind = stop.quantity === "dc" ? "V DC" : stop.quantity === "ac_rms" ? "V AC" : STOP_SCREEN.vAcOrDc;
  return (
    <div className="stop-screen" role="alertdialog" aria-label={STOP_SCREEN.stop} tabIndex={-1} ref={box}>
      <p className="stop-word">{STOP_SCREEN.stop2}</p>
      <p className="stop-value">
        {Math.abs(stop.volts)} {kind}
      </p>
      <ul>
        <li>{STOP_SCREEN.backOffTouchNothing}</li>
        <li>{STOP_SCREEN.keepEveryoneAwayFrom}</li>
        <li>{STOP_SCREEN.doNotResetAnything}</li>
      </ul>
      {phone ? (
        <a className="stop-call" href={`tel:${phone.replace(/[^\d+]/g, "")}`}>
          {STOP_SCREEN.call(phone)}
        </a>
      ) : (
        <p className="stop-call">{STOP_SCREEN.noNumberIsRecorded}</p>
      )}
      <button type="button" onClick={onRead}>
        {STOP_SCREEN.iHaveBackedOff}
      </button>
      <p>{STOP_SCREEN.onlyAQualifiedPerson}</p>
    </div>
  );
}
