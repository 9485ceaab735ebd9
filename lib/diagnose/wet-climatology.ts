import type { Instant } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import type { WetnessSeries } from "../weather/weather-state.ts";
import { wetCounts } from "./recurrence.ts";

/** Longest look ahead: beyond ten years a date says nothing. */
const MOST_MONTHS = 120;
/** Known hours of a calendar month below which its wet share is not known: ten days. */
const FEWEST_HOURS = 240;

/** How wet a station's hours are, by calendar month. */
export interface WetMonths {
  /** Wet hours an hour with known weather, January first; NaN where fewer than ten days of it are known. */
  share: readonly number[];
}

/** Share of wet hours in each calendar month (UTC) over all years of a series. Unknown hours count on neither side. */
export function wetShareByMonth({ firstHour, hours, wet }: WetnessSeries): WetMonths {
  const known = new Array<number>(12).fill(0);
  const rained = new Array<number>(12).fill(0);
  let month = 0;
  let day = Number.NaN;
  for (let i = 0; i < hours; i++) {
    if (wet[i] === 255) continue;
    // An hour carries the index of its end; it belongs to the month that it began in.
    const began = firstHour + i - 1;
    if (Math.floor(began / 24) !== day) {
      day = Math.floor(began / 24);
      month = new Date(began * HOUR_MS).getUTCMonth();
    }
    known[month] = (known[month] as number) + 1;
    if (wet[i] === 1) rained[month] = (rained[month] as number) + 1;
  }
  return { share: known.map((n, m) => (n >= FEWEST_HOURS ? (rained[m] as number) / n : Number.NaN)) };
}

/**
 * Unit-hours at risk that a wet hour at the station has given so far: nights, silent inverters and several units all
 * come into it.
 * @returns null where the log saw no wet hour
 */
export function atRiskPerWetHour(
  { window, exposureByMonth, episodes }: SiteCorrelation,
  wetness: WetnessSeries,
): number | null {
  if (window === null) return null;
  let wetHours = 0;
  const first = Math.max(0, Math.ceil(window.from / HOUR_MS) - wetness.firstHour);
  const last = Math.min(wetness.hours - 1, Math.floor(window.to / HOUR_MS) - wetness.firstHour);
  for (let i = first; i <= last; i++) if (wetness.wet[i] === 1) wetHours++;
  const { wetHours: atRisk } = wetCounts({ exposureByMonth, episodes } as SiteCorrelation, window.from, window.to);
  return wetHours > 0 && atRisk > 0 ? atRisk / wetHours : null;
}

/**
 * The instant by which so many wet unit-hours at risk are expected, month by month at the station's usual wetness.
 * @param perWetHour unit-hours at risk a wet hour gives
 * @returns null where a month on the way is not known, or ten years would not do
 */
export function expectedWetDate(
  unitHours: number,
  asOf: Instant,
  { share }: WetMonths,
  perWetHour: number,
): Instant | null {
  if (unitHours <= 0) return asOf;
  let left = unitHours;
  let at = asOf;
  for (let i = 0; i < MOST_MONTHS; i++) {
    const date = new Date(at);
    const end = Date.UTC(date.getUTCFullYear(), date.getUTCMonth() + 1, 1);
    const pace = (share[date.getUTCMonth()] as number) * perWetHour;
    if (Number.isNaN(pace)) return null;
    const gain = ((end - at) / HOUR_MS) * pace;
    if (gain >= left) return at + (left / pace) * HOUR_MS;
    left -= gain;
    at = end;
  }
  return null;
}
