import type { LatLon } from "../core/earth.ts";
import type { CodeMeaning, Instant, SiteRecords } from "../core/records.ts";
import { HOUR_MS, type WeatherSeries } from "../core/weather-series.ts";
import { stateCode, type WetnessSeries } from "../weather/weather-state.ts";
import { type HourRooms, NEW_ROOMS } from "./hour-rooms.ts";
import { type SunHours, sunHours } from "./sun-hours.ts";

export interface CorrelateInput {
  records: SiteRecords;
  /** The account's fault vocabularies, keyed `system\0code`. */
  meanings: ReadonlyMap<string, CodeMeaning>;
  /** Weather of the site's station with the wetness made from it; null: unknown. */
  weather: { series: WeatherSeries; wetness: WetnessSeries } | null;
  where: LatLon;
  /** Span of the log that each inverter belongs to: the fallback where no telemetry tells. */
  logWindows: ReadonlyMap<string, { from: Instant; to: Instant }>;
  /** Records after it are not used. */
  asOf: Instant;
  /** Alarms of an inverter this close are one episode; default 3 h. */
  gapMs?: number;
  /** Log time minus true time that is proposed for this site's source; for the record, not applied here. */
  clockOffsetHours?: number | null;
  /**
   * Where a person accepted a correction of the clock: the hours beside it that the sun alone left open. The test tries
   * them all under every shift, because wetness had a say in which one was taken.
   */
  clockScanHours?: readonly number[];
}

/** The hours of the window with what sun and sky were like in each. Index i ends at `(firstHour + i) * HOUR_MS`. */
export interface HourFrame extends SunHours {
  firstHour: number;
  hours: number;
  /** 1 where the state of the weather is known. */
  known: Uint8Array;
  /** WEATHER_STATES code an hour. */
  state: Uint8Array;
  /** 1 wet, 0 dry, 255 neither known nor comparable (snow). */
  wet: Uint8Array;
}

/** @param weather wetness of the station; null: every hour unknown */
export function hourFrame(
  window: { from: Instant; to: Instant },
  weather: WetnessSeries | null,
  where: LatLon,
  rooms: HourRooms = NEW_ROOMS,
): HourFrame {
  const firstHour = Math.floor(window.from / HOUR_MS) + 1;
  // Whole days, so that the shift test loses no hour.
  const spanned = Math.max(1, Math.ceil(window.to / HOUR_MS) - firstHour + 1);
  const hours = Math.ceil(spanned / 24) * 24;
  const frame: HourFrame = {
    firstHour,
    hours,
    ...sunHours(firstHour, hours, where, rooms),
    known: rooms.bytes(hours),
    state: rooms.bytes(hours),
    wet: rooms.bytes(hours).fill(255),
  };
  if (weather) copyWeather(frame, weather);
  return frame;
}

/** Places in a frame that a series covers, and what to add to them for places in the series. */
function overlap(frame: HourFrame, weather: WetnessSeries): { from: number; to: number; shift: number } {
  const shift = frame.firstHour - weather.firstHour;
  return { from: Math.max(0, -shift), to: Math.min(frame.hours, weather.hours - shift), shift };
}

function copyWeather(frame: HourFrame, weather: WetnessSeries): void {
  const snow = stateCode("snow");
  const { from, to, shift } = overlap(frame, weather);
  if (to <= from) return;
  frame.state.set(weather.state.subarray(from + shift, to + shift), from);
  frame.wet.set(weather.wet.subarray(from + shift, to + shift), from);
  for (let i = from; i < to; i++) {
    const s = frame.state[i] as number;
    if (s !== 0) frame.known[i] = 1;
    if (s === 0 || s === snow) frame.wet[i] = 255;
  }
}

/** Water on the array in each hour of a frame, the deeper of the two films, mm; NaN unknown or under snow. */
export function filmHours(frame: HourFrame, weather: WetnessSeries): Float32Array {
  const snow = stateCode("snow");
  const out = new Float32Array(frame.hours).fill(Number.NaN);
  const { from, to, shift } = overlap(frame, weather);
  for (let i = from; i < to; i++) {
    const s = frame.state[i] as number;
    if (s !== 0 && s !== snow)
      out[i] = Math.max(weather.rainFilmMm[i + shift] as number, weather.dewFilmMm[i + shift] as number);
  }
  return out;
}
