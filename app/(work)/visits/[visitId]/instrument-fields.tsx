"use client";

import { useEffect, useState } from "react";
import { INSTRUMENT_FIELDS } from "@/app/_words/visit.ts";
import { keepOwnSetting, ownSetting } from "./visit-log.ts";

export interface Instrument {
  serial: string;
  /** `YYYY-MM-DD`, or empty. */
  calibratedOn: string;
}

const NONE: Instrument = { serial: "", calibratedOn: "" };

/** The instrument that a unit is read with, remembered on this phone: a volt meter is no ohm meter. */
export function useInstrument(unit: string | null): [Instrument, (instrument: Instrument) => void] {
  const [instrument, setInstrument] = useState<Instrument>(NONE);
  useEffect(() => {
    Promise.all([ownSetting(`instrument ${unit}`), ownSetting(`calibrated ${unit}`)]).then(
      ([serial, calibratedOn]) => setInstrument({ serial, calibratedOn }),
      () => {},
    );
  }, [unit]);
  const keep = (next: Instrument) => {
    setInstrument(next);
    keepOwnSetting(`instrument ${unit}`, next.serial).catch(() => {});
    keepOwnSetting(`calibrated ${unit}`, next.calibratedOn).catch(() => {});
  };
  return [instrument, keep];
}

export function InstrumentFields({
  instrument,
  onChange,
}: {
  instrument: Instrument;
  onChange: (next: Instrument) => void;
}) {
  return (
    <>
      <label>
        {INSTRUMENT_FIELDS.instrumentSerialNumber}
        <input
          value={instrument.serial}
          onChange={(event) => onChange({ ...instrument, serial: event.target.value })}
        />
      </label>
      <label>
        {INSTRUMENT_FIELDS.calibratedOn}
        <input
          type="date"
          value={instrument.calibratedOn}
          onChange={(event) => onChange({ ...instrument, calibratedOn: event.target.value })}
        />
      </label>
    </>
  );
}
