import type { LatLon } from "../core/earth.ts";
import type { CodeMeaning, Instant, SiteRecords } from "../core/records.ts";
import { HOUR_MS, type WeatherSeries } from "../core/weather-series.ts";
import { stateCode, type WetnessSeries } from "../weather/weather-state.ts";
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
  /** Water on the array, the deeper of the two films, mm; NaN unknown or under snow. */
  filmMm: Float32Array;
}

/** @param weather wetness of the station; null: every hour unknown */
export function hourFrame(
  window: { from: Instant; to: Instant },
  weather: WetnessSeries | null,
  where: LatLon,
): HourFrame {
  const firstHour = Math.floor(window.from / HOUR_MS) + 1;
  // Whole days, so that the shift test loses no hour.
  const spanned = Math.max(1, Math.ceil(window.to / HOUR_MS) - firstHour + 1);
  const hours = Math.ceil(spanned / 24) * 24;
  const frame: HourFrame = {
    firstHour,
    hours,
    ...sunHours(firstHour, hours, where),
    known: new Uint8Array(hours),
    state: new Uint8Array(hours),
    wet: new Uint8Array(hours).fill(255),
    filmMm: new Float32Array(hours).fill(Number.NaN),
  };
  if (weather) copyWeather(frame, weather);
  return frame;
}

function copyWeather(frame: HourFrame, weather: WetnessSeries): void {
  const snow = stateCode("snow");
  const shift = frame.firstHour - weather.firstHour;
  const from = Math.max(0, -shift);
  const to = Math.min(frame.hours, weather.hours - shift);
  for (let i = from; i < to; i++) {
    const s = weather.state[i + shift] as number;
    if (s === 0) continue;
    frame.known[i] = 1;
    frame.state[i] = s;
    frame.wet[i] = s === snow ? 255 : (weather.wet[i + shift] as number);
    if (s !== snow)
      frame.filmMm[i] = Math.max(weather.rainFilmMm[i + shift] as number, weather.dewFilmMm[i + shift] as number);
  }
}
