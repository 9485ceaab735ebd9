import type { Check, Inspection } from "../core/records.ts";
import { judgeReading, type Verdict } from "./reading-judgement.ts";

export interface ReadingEntry {
  check: Check;
  /** As typed. */
  text: string;
  unit: Inspection["unit"];
  quantity: Inspection["quantity"];
  meterImpedance: Inspection["meterImpedance"];
  method: Inspection["method"];
}

/** What the phone does with a number the moment it is typed. */
export type EntryAnswer =
  | { kind: "empty" }
  | { kind: "refused"; says: string }
  | { kind: "ask"; says: string }
  | { kind: "judged"; verdict: Verdict; says: string };

/**
 * From here on a reading in ohm at a bond, a conductor or an electrode was more likely read in kilohm or megohm, and
 * one at insulation below it in ohm. Judgement.
 */
const OHM_LOOKS_LARGE = 10_000;
const MEGOHM_LOOKS_LARGE = 100_000;

/**
 * Accept, ask about or refuse a typed number. A voltage at the stop limit is answered first of all: nothing is ever
 * asked before a stop. A negative voltage is a reversed lead and counts in full; negative ohm cannot be.
 */
export function readEntry(entry: ReadingEntry): EntryAnswer {
  const text = entry.text.trim().replace(",", ".");
  if (text === "") return { kind: "empty" };
  const volts = entry.unit === "volt" || (entry.unit === null && entry.check === "section_potential");
  const value = Number(text);
  if (entry.unit !== "awg") {
    if (!Number.isFinite(value)) return { kind: "refused", says: `"${entry.text}" is not a number.` };
    if (value < 0 && !volts)
      return { kind: "refused", says: "A negative reading is not possible. Check leads and meter, then read again." };
  }
  const { verdict, reasons } = judgeReading(asInspection(entry, text), NOTHING_ELSE);
  if (verdict !== "stop") {
    const question = looksWrong(entry, value);
    if (question) return { kind: "ask", says: question };
  }
  return { kind: "judged", verdict, says: reasons.join(" ") };
}

const NOTHING_ELSE = { others: [], maxDcV: null, electrode: null };

function looksWrong({ check, unit }: ReadingEntry, value: number): string | null {
  if (check === "insulation_resistance") {
    if (unit === "ohm") return `${value} ohm of insulation: is that ohm, or megohm?`;
    return unit === "megohm" && value >= MEGOHM_LOOKS_LARGE
      ? `${value} megohm is more than most testers show: is that ohm?`
      : null;
  }
  if (unit === "ohm" && value >= OHM_LOOKS_LARGE) return `${value} ohm is very much here: was the meter on megohm?`;
  return null;
}

function asInspection(entry: ReadingEntry, value: string): Inspection {
  const { check, unit, quantity, meterImpedance, method } = entry;
  return {
    ...{
      siteId: "",
      inspectedAt: { at: 0, dayOnly: false, day: "1970-01-01" },
      check,
      sectionId: null,
      inverterId: null,
    },
    ...{ pointA: null, pointB: null, outcome: "pass", value, unit, quantity, meterImpedance, method },
    ...{ testVoltageV: null, surface: null, systemState: null, instrumentSerial: null, calibratedOn: null },
    ...{ inspector: null, inspectorLicence: null, photo: null, note: null },
  };
}
