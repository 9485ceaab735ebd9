import type { LatLon } from "../core/earth.ts";
import type { CodeMeaning, Instant, SiteRecords } from "../core/records.ts";
import { HOUR_MS, type WeatherSeries } from "../core/weather-series.ts";
import { energizedHours } from "../weather/solar-time.ts";
import { stateCode, type WetnessSeries } from "../weather/weather-state.ts";

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
  gapMs?: number;
}

/** The hours of the window with what the sky was like in each. */
export interface HourFrame {
  firstHour: number;
  hours: number;
  lit: Uint8Array;
  /** 1 where the state of the weather is known. */
  known: Uint8Array;
  /** WEATHER_STATES code an hour. */
  state: Uint8Array;
  /** 1 wet, 0 dry, 255 neither known nor comparable (snow). */
  wet: Uint8Array;
  outage: (starts: readonly Instant[]) => Uint8Array;
}

export function hourFrame(window: { from: Instant; to: Instant }, input: CorrelateInput): HourFrame {
  const firstHour = Math.floor(window.from / HOUR_MS) + 1;
  // Whole days, so that the shift test loses no hour.
  const spanned = Math.max(1, Math.ceil(window.to / HOUR_MS) - firstHour + 1);
  const hours = Math.ceil(spanned / 24) * 24;
  const known = new Uint8Array(hours);
  const state = new Uint8Array(hours);
  const wet = new Uint8Array(hours).fill(255);
  const snow = stateCode("snow");
  const wetness = input.weather?.wetness;
  if (wetness) {
    const shift = firstHour - wetness.firstHour;
    for (let i = 0; i < hours; i++) {
      const s = wetness.state[i + shift];
      if (s === undefined || s === 0) continue;
      known[i] = 1;
      state[i] = s;
      wet[i] = s === snow ? 255 : (wetness.wet[i + shift] as number);
    }
  }
  const outage = (starts: readonly Instant[]) => {
    const out = new Uint8Array(hours);
    for (const at of starts) {
      const i = Math.ceil(at / HOUR_MS) - firstHour;
      if (i >= 0 && i < hours) out[i] = 1;
    }
    return out;
  };
  return { firstHour, hours, lit: energizedHours(firstHour, hours, input.where), known, state, wet, outage };
}
