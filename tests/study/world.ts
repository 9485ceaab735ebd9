import { normalDeviate, poissonDeviate, type Rng, seededRng } from "../../lib/core/random.ts";
import type { FaultRow } from "../../lib/core/records.ts";
import { HOUR_MS, unknownSeries, type WeatherSeries } from "../../lib/core/weather-series.ts";
import { standardOffsetMs, zoneOffsetMs } from "../../lib/core/zoned-time.ts";
import { driverHours, WEATHER_DRIVERS, type WeatherDriver } from "../../lib/correlate/drivers.ts";
import { type HourFrame, hourFrame } from "../../lib/correlate/hour-frame.ts";
import { ENERGIZED_ELEVATION_DEG } from "../../lib/weather/solar-time.ts";
import { sunElevationDeg } from "../../lib/weather/sun-position.ts";
import type { WetnessSeries } from "../../lib/weather/weather-state.ts";
import { wetness } from "../../lib/weather/wetness.ts";
import { sampleRecords, sampleSite } from "../support/sample-site.ts";

/** An invented place for studies. */
export const WHERE = { latitude: 40, longitude: -90 };
const FIRST = Date.UTC(2021, 0, 1) / HOUR_MS + 1;
const DAY = 24;

export interface Sky {
  series: WeatherSeries;
  wetness: WetnessSeries;
  frame: HourFrame;
  on: Record<WeatherDriver, Uint8Array>;
  window: { from: number; to: number };
}

/**
 * Invented weather: rain in spells that come in runs of wet days, more in one season; clear humid nights that bring
 * dew; summer afternoons with thunder; warm enough that snow plays no part.
 */
export function makeSky(seed: string, years: number): Sky {
  const rng = seededRng(seed);
  const hours = Math.round(years * 365) * DAY;
  const series = unknownSeries("study", FIRST, hours);
  let regime = 0;
  let spell = 0;
  let humid = 0;
  let windy = 3;
  for (let i = 0; i < hours; i++) {
    const year = (2 * Math.PI * i) / (365 * DAY);
    const clock = (i + WHERE.longitude / 15 + 48) % DAY;
    if (i % DAY === 0) {
      regime = 0.7 * regime + 0.7 * normalDeviate(rng);
      humid = 0.6 * humid + 0.8 * normalDeviate(rng);
    }
    windy = 0.9 * windy + 0.3 + 0.7 * normalDeviate(rng);
    const start = 0.022 * Math.exp(1.1 * regime - 0.6 + 0.5 * Math.sin(year));
    if (spell === 0 && rng() < start) spell = 1 + Math.floor(-4 * Math.log(1 - rng()));
    const rains = spell > 0;
    if (rains) spell--;
    const summer = 0.5 - 0.5 * Math.cos(year);
    const temperature = 12 + 12 * summer + 5 * Math.sin((2 * Math.PI * (clock - 9)) / DAY) + (rains ? -2 : 0);
    const spread = Math.max(0.2, 5 - 2.5 * humid + 4 * Math.sin((2 * Math.PI * (clock - 9)) / DAY) - (rains ? 4 : 0));
    const storm = rains && clock > 12 && clock < 21 && rng() < 0.25 * summer;
    series.precipitationMm[i] = rains ? 0.2 - 1.5 * Math.log(1 - rng()) : 0;
    series.temperatureC[i] = temperature;
    series.dewPointC[i] = temperature - spread;
    series.windMs[i] = Math.max(0.2, windy + (clock > 10 && clock < 18 ? 1.5 : 0));
    series.thunder[i] = storm ? 1 : 0;
  }
  const made = wetness(series, WHERE).wetness;
  const window = { from: (FIRST - 1) * HOUR_MS, to: (FIRST - 1 + hours) * HOUR_MS };
  const frame = hourFrame(window, made, WHERE);
  const on = Object.fromEntries(WEATHER_DRIVERS.map((d) => [d, driverHours(frame, d)])) as Sky["on"];
  return { series, wetness: made, frame, on, window };
}

export interface Nature {
  /** Episodes a year in a world without weather. */
  perYear: number;
  /** Rate ratio while the driver is on. */
  ratio?: number;
  driver?: WeatherDriver;
  /** Mean log rows beyond the first of an episode. */
  chatter?: number;
  /** 0 to 1: how strongly the rate follows season, or the morning. */
  season?: number;
  diurnal?: number;
  /** Standard deviation of the log rate over days, with a memory of some four days. */
  bursts?: number;
  /** Added to what the log says, hours. */
  clockHours?: number;
  /** Added in summer time only. */
  summerHours?: number;
}

/** Zone whose summer time the logs are held against. */
const ZONE = "America/Chicago";

/** Log rows of one site under a nature, from true hours to rows, ready to be scored. */
export function makeFaults(sky: Sky, nature: Nature, rng: Rng): FaultRow[] {
  const { frame } = sky;
  const litHours = frame.lit.reduce((a, b) => a + b, 0);
  const years = frame.hours / (365 * DAY);
  const base = (nature.perYear * years) / litHours;
  const on = nature.driver ? sky.on[nature.driver] : null;
  const phase = 2 * Math.PI * rng();
  const rows: FaultRow[] = [];
  const sd = nature.bursts ?? 0;
  let run = sd * normalDeviate(rng);
  let busy = 0;
  for (let i = 0; i < frame.hours; i++) {
    if (i % DAY === 0) run = 0.8 * run + 0.6 * sd * normalDeviate(rng);
    if (!frame.lit[i]) continue;
    const begins = (frame.firstHour + i - 1) * HOUR_MS;
    if (begins < busy) continue;
    const year = (2 * Math.PI * i) / (365 * DAY);
    const solar = Math.floor((frame.stratum[i] as number) / 12);
    let rate = base * Math.exp(run - (sd * sd) / 2);
    rate *= 1 + (nature.season ?? 0) * Math.cos(year - phase);
    if (nature.diurnal) rate *= Math.exp(nature.diurnal * (solar < 9 ? 1.2 : -0.3));
    if (on?.[i] === 1) rate *= nature.ratio ?? 1;
    if (rng() >= 1 - Math.exp(-rate)) continue;
    const start = onsetIn(begins, rng);
    const end = start + Math.ceil(HOUR_MS * (0.1 - 0.8 * Math.log(1 - rng())));
    busy = end + 3 * HOUR_MS;
    const extra = nature.chatter ? poissonDeviate(rng, -nature.chatter * Math.log(1 - rng())) : 0;
    for (let k = 0; k <= extra; k++) {
      const at = start + Math.floor(((end - start) * k) / (extra + 1));
      rows.push(faultRow(at, k === extra ? end : at + 1000, clockError(nature, at) * HOUR_MS));
    }
  }
  return rows;
}

/** An instant of a lit hour at which the array is energised: the hour may begin or end in the dark. */
function onsetIn(begins: number, rng: Rng): number {
  for (;;) {
    const at = begins + Math.floor(rng() * 0.999 * HOUR_MS) + 1;
    if (sunElevationDeg(at, WHERE) > ENERGIZED_ELEVATION_DEG) return at;
  }
}

function clockError({ clockHours = 0, summerHours = 0 }: Nature, at: number): number {
  return clockHours + (summerHours !== 0 && zoneOffsetMs(ZONE, at) > standardOffsetMs(ZONE, at) ? summerHours : 0);
}

function faultRow(start: number, end: number, shift: number): FaultRow {
  return {
    siteId: "S1",
    inverterId: "I1",
    startedAt: start + shift,
    endedAt: end + shift,
    code: "1",
    codeSystem: "sunspec_evt1",
    message: null,
    resetAt: null,
    resetBy: null,
    ticketId: null,
    closedAs: null,
  };
}

/** What `correlateSite` takes for these rows under this sky. */
export function siteInput(sky: Sky, faults: FaultRow[]) {
  return {
    records: sampleRecords({ site: sampleSite({ ...WHERE, timeZone: ZONE }), faults }),
    meanings: new Map(),
    weather: { series: sky.series, wetness: sky.wetness },
    where: WHERE,
    logWindows: new Map([["I1", sky.window]]),
    asOf: sky.window.to,
  };
}
