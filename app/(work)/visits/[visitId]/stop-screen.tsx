"use client";

import { useEffect, useRef } from "react";
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
  const kind = stop.quantity === "dc" ? "V DC" : stop.quantity === "ac_rms" ? "V AC" : "V, AC or DC not said";
  return (
    <div className="stop-screen" role="alertdialog" aria-label="Stop" tabIndex={-1} ref={box}>
      <p className="stop-word">STOP</p>
      <p className="stop-value">
        {Math.abs(stop.volts)} {kind}
      </p>
      <ul>
        <li>Back off. Touch nothing metal.</li>
        <li>Keep everyone away from the array, the ladder and the racking.</li>
        <li>Do not reset anything. It stays live in light, whatever is switched off.</li>
      </ul>
      {phone ? (
        <a className="stop-call" href={`tel:${phone.replace(/[^\d+]/g, "")}`}>
          Call {phone}
        </a>
      ) : (
        <p className="stop-call">No number is recorded for this site: call your dispatcher, or the emergency number.</p>
      )}
      <button type="button" onClick={onRead}>
        I have backed off. Show the record
      </button>
      <p>
        Only a qualified person who gives name and licence lowers this, between the same two points, with a
        low-impedance meter.
      </p>
    </div>
  );
}
