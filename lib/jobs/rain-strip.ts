import type { Instant } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { localDay, wallMs } from "../core/zoned-time.ts";
import type { RainStrip } from "../reads/ranked-sites-view.ts";
import { WET_FILM_MM } from "../weather/weather-state.ts";
import type { StationWeather } from "./site-inputs.ts";

const DAYS = 365;
const DAY_MS = 86_400_000;
const LONGEST_DAY_HOURS = 25;

/**
 * The local day of one hour after the other, asked of the zone a few times a day.
 * @returns a function of the hour index; hours rising
 */
function localDays(dayIndex: (at: Instant) => number): (hour: number) => number {
  let [day, until] = [0, Number.NEGATIVE_INFINITY];
  return (hour) => {
    if (hour < until) return day;
    const at = hour * HOUR_MS - 1;
    day = dayIndex(at);
    // A day has at most 25 hours, and they follow one another: its last one by halves.
    let [within, beyond] = [0, LONGEST_DAY_HOURS + 1];
    while (beyond - within > 1) {
      const middle = (within + beyond) >> 1;
      if (dayIndex(at + middle * HOUR_MS) === day) within = middle;
      else beyond = middle;
    }
    until = hour + beyond;
    return day;
  };
}

/** First instant whose weather may stand in the strip of a score, wherever the site is. */
export const stripBegins = (asOf: Instant): Instant => asOf - (DAYS + 1) * DAY_MS;

/**
 * Twelve months of a site by its local day: precipitation, hours with dew, ground-fault onsets.
 * A day is known when at least half of its hours are; an unknown day is null, never zero.
 */
export function rainStrip(
  onsets: Instant[],
  weather: StationWeather | null,
  timeZone: string,
  asOf: Instant,
): RainStrip {
  const endDay = localDay(asOf, timeZone);
  const endNumber = Date.parse(endDay) / DAY_MS;
  const dayIndex = (at: Instant) => DAYS - 1 - (endNumber - Math.floor(wallMs(at, timeZone) / DAY_MS));
  const rain = new Float64Array(DAYS);
  const dew = new Float64Array(DAYS);
  const knownHours = new Uint8Array(DAYS);
  const strip: RainStrip = { endDay, rainMm: [], dewHours: [], onsets: new Array<number>(DAYS).fill(0) };
  for (const at of onsets) {
    const day = dayIndex(at);
    if (at <= asOf && day >= 0 && day < DAYS) strip.onsets[day] = (strip.onsets[day] ?? 0) + 1;
  }
  if (weather) {
    const { series, wetness } = weather;
    const first = Math.max(0, Math.floor(stripBegins(asOf) / HOUR_MS) - series.firstHour);
    const last = Math.min(series.hours - 1, Math.floor(asOf / HOUR_MS) - series.firstHour);
    const dayOf = localDays(dayIndex);
    for (let i = first; i <= last; i++) {
      const day = dayOf(series.firstHour + i);
      const fell = series.precipitationMm[i] as number;
      if (day < 0 || day >= DAYS || Number.isNaN(fell)) continue;
      knownHours[day] = (knownHours[day] as number) + 1;
      rain[day] = (rain[day] as number) + fell;
      if ((wetness.dewFilmMm[i] as number) >= WET_FILM_MM) dew[day] = (dew[day] as number) + 1;
    }
  }
  for (let day = 0; day < DAYS; day++) {
    const known = (knownHours[day] as number) >= 12;
    strip.rainMm.push(known ? Math.round((rain[day] as number) * 10) / 10 : null);
    strip.dewHours.push(known ? (dew[day] as number) : null);
  }
  return strip;
}
