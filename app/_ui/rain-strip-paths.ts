import { RAIN_STRIP_PATHS } from "@/app/_words/ui.ts";
import type { RainStrip } from "@/lib/reads/ranked-sites-view.ts";

/** Height of the drawing and its line between water and faults, in its own units. */
export const STRIP_HEIGHT = 42;
const LINE = 25;
const MOST_RAIN = 23;
const MOST_FAULT = 16;

export interface StripPaths {
  rain: string;
  dew: string;
  faults: string;
  unknown: string;
  /** What the strip shows, in words. */
  says: string;
}

/** A day with this much rain is a wet day in the summary, mm. */
const WET_DAY_MM = 0.2;

/**
 * Strip of twelve months as paths: rain up from the line (square root of mm, so drizzle shows beside a storm), dew as a
 * low mark, ground-fault onsets down from it, unknown days on it.
 */
export function rainStripPaths(strip: RainStrip): StripPaths {
  const paths = { rain: "", dew: "", faults: "", unknown: "" };
  let rainDays = 0;
  let onsets = 0;
  let onWetDays = 0;
  let unknownDays = 0;
  /** Marks along the line: days on end are one stroke. */
  const along = (name: "dew" | "unknown", day: number, y: number) => {
    const [from, days] = last[name];
    if (from + days === day) {
      last[name] = [from, days + 1];
      paths[name] = `${paths[name].slice(0, paths[name].lastIndexOf("h"))}h${days + 1}`;
    } else {
      last[name] = [day, 1];
      paths[name] += `M${day} ${y}h1`;
    }
  };
  const last = { dew: [-2, 0] as [number, number], unknown: [-2, 0] as [number, number] };
  strip.rainMm.forEach((mm, day) => {
    const n = strip.onsets[day] ?? 0;
    const wet = (mm ?? 0) >= WET_DAY_MM || (strip.rainMm[day - 1] ?? 0) >= WET_DAY_MM;
    const x = day + 0.5;
    if (mm === null) {
      unknownDays++;
      along("unknown", day, LINE);
    } else if (mm > 0) {
      paths.rain += `M${x} ${LINE}v-${Math.round(10 * Math.min(MOST_RAIN, 2 + 4 * Math.sqrt(mm))) / 10}`;
      if (mm >= WET_DAY_MM) rainDays++;
    } else if ((strip.dewHours[day] ?? 0) > 0) along("dew", day, LINE - 1.5);
    if (n > 0) {
      onsets += n;
      if (wet) onWetDays += n;
      paths.faults += `M${x} ${LINE + 1}v${Math.min(MOST_FAULT, 7 + 3 * n)}`;
    }
  });
  const faults =
    onsets === 0
      ? RAIN_STRIP_PATHS.noGroundFault
      : RAIN_STRIP_PATHS.groundFaultOnsetOn(onsets, onsets === 1 ? "" : "s", onWetDays);
  const unknown = unknownDays > 0 ? RAIN_STRIP_PATHS.weatherNotKnownOn(unknownDays) : "";
  return { ...paths, says: RAIN_STRIP_PATHS.twelveMonthsToRain(strip.endDay, rainDays, unknown, faults) };
}

/** The days of a strip, oldest first; null is weather that was not observed. */
export function stripDays(
  strip: RainStrip,
): { day: string; rainMm: number | null; dewHours: number | null; onsets: number }[] {
  const end = Date.parse(`${strip.endDay}T00:00:00Z`);
  const count = strip.rainMm.length;
  return strip.rainMm.map((rainMm, k) => ({
    day: new Date(end - (count - 1 - k) * 86_400_000).toISOString().slice(0, 10),
    rainMm,
    dewHours: strip.dewHours[k] ?? null,
    onsets: strip.onsets[k] ?? 0,
  }));
}
