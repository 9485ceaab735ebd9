import type { Instant, Site } from "../../core/records.ts";
import { localDay } from "../../core/zoned-time.ts";
import { sunElevationDeg } from "../../weather/sun-position.ts";
import { clockOn } from "./crew-days.ts";
import type { OutlookHour } from "./plan-input.ts";

export interface Span {
  from: Instant;
  to: Instant;
}

const STEP_MS = 600_000;
const HOUR_MS = 3_600_000;
/** Sun's upper limb at the horizon, the usual refraction allowed for. */
const SUNRISE_DEG = -0.833;

/** Chance of rain, gust or lightning in an hour above which nobody is sent onto a roof. Engineering judgement. */
export const ROOF_CHANCE = 0.3;
/** Water on the surface from which a roof counts as still wet, mm. Engineering judgement. */
export const ROOF_FILM_MM = 0.05;

/** When work may go on at a site during a shift: within daylight and the hours that the customer gives. */
export function accessSpan(site: Site, shift: Span): Span | null {
  const light = daylight(site, shift);
  if (!light) return null;
  const day = localDay(shift.from, site.timeZone);
  const opens = site.accessFrom ? clockOn(day, site.accessFrom, site.timeZone) : light.from;
  const closes = site.accessTo ? clockOn(day, site.accessTo, site.timeZone) : light.to;
  const from = Math.max(light.from, opens);
  const to = Math.min(light.to, closes);
  return to > from ? { from, to } : null;
}

function daylight(site: Site, shift: Span): Span | null {
  let from: Instant | null = null;
  let to: Instant | null = null;
  for (let at = shift.from; at <= shift.to; at += STEP_MS) {
    if (sunElevationDeg(at, site) <= SUNRISE_DEG) continue;
    from ??= at;
    to = at;
  }
  return from !== null && to !== null && to > from ? { from, to } : null;
}

/** What keeps people off a roof in an hour, or null. What is not known does not refuse. */
export function roofRefusal(hour: OutlookHour): string | null {
  const because = unfit(hour);
  return because === null || hour.basis !== "past_years" ? because : `${because} in past years`;
}

function unfit(hour: OutlookHour): string | null {
  if ((hour.thunderProbability ?? 0) > ROOF_CHANCE) return "lightning";
  if ((hour.rainProbability ?? 0) > ROOF_CHANCE) return "rain";
  if ((hour.gustProbability ?? 0) > ROOF_CHANCE) return "gusts";
  if ((hour.filmMm ?? 0) >= ROOF_FILM_MM) return "a wet surface";
  if (hour.temperatureC !== null && hour.temperatureC <= 0) return "frost";
  return null;
}

/** What keeps people on the ground away from an array's metal in a forecast hour, or null; past years refuse nobody there. */
export function groundRefusal(hour: OutlookHour, mayBeWet: boolean): string | null {
  if (hour.basis === "past_years") return null;
  if ((hour.thunderProbability ?? 0) > ROOF_CHANCE) return "lightning";
  if (mayBeWet) return null;
  if ((hour.rainProbability ?? 0) > ROOF_CHANCE) return "rain";
  return (hour.filmMm ?? 0) >= ROOF_FILM_MM ? "a wet surface" : null;
}

/** The parts of a span without an hour that keeps people off, and what did. */
export function fitSpans(
  span: Span,
  outlook: readonly OutlookHour[],
  refusal: (hour: OutlookHour) => string | null,
): { spans: Span[]; because: string[] } {
  const because = new Set<string>();
  let spans: Span[] = [span];
  for (const hour of outlook) {
    const start = hour.at - HOUR_MS;
    if (hour.at <= span.from || start >= span.to) continue;
    const refused = refusal(hour);
    if (!refused) continue;
    because.add(refused);
    spans = spans.flatMap((each) =>
      hour.at <= each.from || start >= each.to
        ? [each]
        : [
            { from: each.from, to: start },
            { from: hour.at, to: each.to },
          ].filter((part) => part.to > part.from),
    );
  }
  return { spans, because: [...because].sort() };
}
