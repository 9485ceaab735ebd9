import type { CodeMeaning } from "../core/records.ts";
import { decodeSunspec, INVERTER_EVENT_NAMES } from "./sunspec-events.ts";

/** The default vocabulary: the Evt1 bitfield of SunSpec inverter models as an integer, hex, or an event name. */
export const SUNSPEC_EVT1 = "sunspec_evt1";
const NAMES = new Set(INVERTER_EVENT_NAMES);
const NOT_IMPLEMENTED_16 = 0xffff;

/** What a logged code says. */
export interface DecodedCode {
  /** Event names; empty when the code ends what is open or says nothing. */
  events: readonly string[];
  /** `0` in a bitfield: nothing is active any more. */
  ends: boolean;
  /** The vocabulary holds this code. An unknown code is kept and treated as OTHER. */
  known: boolean;
}

const NOTHING: DecodedCode = { events: [], ends: false, known: true };
const OTHER: DecodedCode = { events: ["OTHER"], ends: false, known: false };

/**
 * Decode a code in its vocabulary.
 * @param meanings the account's own vocabularies, keyed `system\0code`
 */
export function decodeCode(code: string, codeSystem: string, meanings: ReadonlyMap<string, CodeMeaning>): DecodedCode {
  const own = meanings.get(`${codeSystem}\u0000${code}`);
  if (own) return { events: [own.event.toUpperCase()], ends: false, known: true };
  return codeSystem === SUNSPEC_EVT1 ? decodedEvt1(code.trim()) : OTHER;
}

const decoded = new Map<string, DecodedCode>();
/** Far more than logs have; a log of nothing but new texts must not fill the memory. */
const MOST_DECODED = 1000;

/** A log repeats its codes row after row. */
function decodedEvt1(code: string): DecodedCode {
  let known = decoded.get(code);
  if (!known) {
    known = decodeEvt1(code);
    if (decoded.size >= MOST_DECODED) decoded.clear();
    decoded.set(code, known);
  }
  return known;
}

const BITFIELD = /^(\d+|0x[0-9a-f]+)$/i;

/** Whether a code is written as the value of a bitfield, so that a bit it lacks is known to be clear. */
export function isBitfield(code: string, codeSystem: string): boolean {
  return codeSystem === SUNSPEC_EVT1 && BITFIELD.test(code.trim());
}

function decodeEvt1(code: string): DecodedCode {
  const name = code.toUpperCase();
  if (NAMES.has(name)) return { events: [name], ends: false, known: true };
  if (name === "OTHER") return { events: ["OTHER"], ends: false, known: true };
  if (!BITFIELD.test(code)) return OTHER;
  const value = Number(code);
  if (value > 0xffffffff) return OTHER;
  if (value === 0) return { events: [], ends: true, known: true };
  if (value === NOT_IMPLEMENTED_16) return NOTHING;
  const events = decodeSunspec(103, "Evt1", value);
  if (events === null) return NOTHING;
  const named = events.filter((event) => NAMES.has(event));
  if (named.length === events.length) return { events, ends: false, known: true };
  return { events: [...named, "OTHER"], ends: false, known: false };
}
