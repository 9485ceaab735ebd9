/** Twelve months of a site by local day, oldest first: water above the line, ground faults below it. */
export interface StripDays {
  /** Last local day, YYYY-MM-DD; the arrays end here. */
  endDay: string;
  /** mm of precipitation, to a tenth; null: not known. Length 365. */
  rainMm: (number | null)[];
  /** Hours with a dew film, whole ones; null unknown. Length 365. */
  dewHours: (number | null)[];
  /** Ground-fault onsets of the site's units. Length 365. */
  onsets: number[];
}

/** A packed strip, for whoever checks one that was stored: the day it ends on, its weather and its onsets. */
export const PACKED_STRIP = /^\d{4}-\d\d-\d\d\|[\dA-Za-z?@]*\|[\dA-Za-z!]*$/;

const RUN = 26;
const [CODE_A, CODE_UPPER] = ["a".charCodeAt(0), "@".charCodeAt(0)];
const runOf = (days: number) => String.fromCharCode(CODE_A + days - 1);

/** Days in which nothing happened as letters, a to z for 1 to 26 of them. */
function runs(days: number): string {
  let out = "";
  for (let left = days; left > 0; left -= RUN) out += runOf(Math.min(RUN, left));
  return out;
}

/**
 * A strip as a short string without loss, a fifth of its arrays: what 50 rows of a list bring, store and parse is mostly this.
 * Weather, a day each: `?` not known; tenths of a mm, where any fell, and then a letter for the hours of dew (@ none, A one);
 * small letters stand for runs of days with neither. Onsets: A to Z for 1 to 26, more as a number with `!`, small letters for runs without.
 */
export function packStrip({ endDay, rainMm, dewHours, onsets }: StripDays): string {
  let weather = "";
  let quiet = 0;
  for (const [day, mm] of rainMm.entries()) {
    const hours = dewHours[day] ?? 0;
    if (mm === 0 && hours === 0) {
      quiet++;
      continue;
    }
    weather += runs(quiet);
    quiet = 0;
    if (mm === null) weather += "?";
    else weather += `${mm === 0 ? "" : Math.round(mm * 10)}${String.fromCharCode(CODE_UPPER + Math.min(RUN, hours))}`;
  }
  weather += runs(quiet);
  let faults = "";
  quiet = 0;
  for (const n of onsets) {
    if (n === 0) {
      quiet++;
      continue;
    }
    faults += runs(quiet) + (n <= RUN ? String.fromCharCode(CODE_UPPER + n) : `${n}!`);
    quiet = 0;
  }
  return `${endDay}|${weather}|${faults}${runs(quiet)}`;
}

/** The strip that was packed. What does not read as one has no days. */
export function unpackStrip(packed: string): StripDays {
  const [endDay = "", weather = "", faults = ""] = packed.split("|");
  const out: StripDays = { endDay, rainMm: [], dewHours: [], onsets: [] };
  for (let at = 0, tenths = 0; at < weather.length; at++) {
    const code = weather.charCodeAt(at);
    if (code < 58) tenths = 10 * tenths + code - 48;
    else if (code >= CODE_A) for (let k = CODE_A; k <= code; k++) push(out, 0, 0);
    else {
      if (code < CODE_UPPER) push(out, null, null);
      else push(out, tenths / 10, code - CODE_UPPER);
      tenths = 0;
    }
  }
  for (let at = 0, n = 0; at < faults.length; at++) {
    const code = faults.charCodeAt(at);
    if (code >= CODE_A) for (let k = CODE_A; k <= code; k++) out.onsets.push(0);
    else if (code >= 48 && code < 58) n = 10 * n + code - 48;
    else {
      out.onsets.push(code < CODE_UPPER ? n : code - CODE_UPPER);
      n = 0;
    }
  }
  return out;
}

function push(strip: StripDays, rainMm: number | null, dewHours: number | null): void {
  strip.rainMm.push(rainMm);
  strip.dewHours.push(dewHours);
}
