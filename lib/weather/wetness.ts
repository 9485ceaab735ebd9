import type { LatLon } from "../core/earth.ts";
import { sampleQuantile } from "../core/statistics.ts";
import { HOUR_MS, type WeatherSeries } from "../core/weather-series.ts";
import { dewPointC, relativeHumidityPct } from "./dew-point.ts";
import { type Bounds, FILM, type FilmState, filmStep, type HourWeather, unknownFilm } from "./film-step.ts";
import { ENERGIZED_ELEVATION_DEG } from "./solar-time.ts";
import { sunElevations } from "./sun-position.ts";
import { stateCode, WET_FILM_MM, type WetnessSeries } from "./weather-state.ts";

/** What counts as hot and as windy at a station: its own upper sixth of energised hours. Null: too few hours to say. */
export interface StationThresholds {
  hotC: number | null;
  windyMs: number | null;
}

const UPPER_SHARE = 0.85;
const FEWEST_HOURS = 200;
/** Rise of a module above the air at full sun, K; engineering judgement (a nominal-cell-temperature rise is near 28). */
const MODULE_RISE_C = 28;
const THUNDER_HOURS = 3;
/** A film is given as a number only when its bounds are this close, mm. */
const FILM_SPREAD_MM = 0.02;

const CODE = {
  unknown: stateCode("unknown"),
  dry: stateCode("dry"),
  hot: stateCode("hot"),
  wind: stateCode("wind"),
  dew: stateCode("dew"),
  rain: stateCode("rain"),
  thunder: stateCode("thunder"),
  snow: stateCode("snow"),
};

const rises = new WeakMap<Float32Array, Float64Array>();

/** Rise of a module above the air an hour, K, for the sun of each hour; kept with the suns, which stations share. */
function moduleRise(sun: Float32Array): Float64Array {
  let rise = rises.get(sun);
  if (!rise) {
    rise = new Float64Array(sun.length);
    for (let i = 0; i < rise.length; i++)
      rise[i] = MODULE_RISE_C * Math.max(0, Math.sin(((sun[i] as number) * Math.PI) / 180));
    rises.set(sun, rise);
  }
  return rise;
}

/** Sun at the middle of each hour, degrees. */
export function sunByHour(series: Pick<WeatherSeries, "firstHour" | "hours">, where: LatLon): Float32Array {
  return sunElevations((series.firstHour - 0.5) * HOUR_MS, HOUR_MS, series.hours, where);
}

/** Room for what one series has of energised hours. */
let [HOT, WIND] = [new Float64Array(0), new Float64Array(0)];

/** Thresholds from the energised hours of a series. */
export function stationThresholds(
  series: WeatherSeries,
  where: LatLon,
  sun = sunByHour(series, where),
): StationThresholds {
  const rise = moduleRise(sun);
  if (HOT.length < series.hours) [HOT, WIND] = [new Float64Array(series.hours), new Float64Array(series.hours)];
  const [hot, wind] = [HOT, WIND];
  let [hots, winds] = [0, 0];
  for (let i = 0; i < series.hours; i++) {
    const elevation = sun[i] as number;
    if (elevation <= ENERGIZED_ELEVATION_DEG) continue;
    const t = series.temperatureC[i] as number;
    const w = series.windMs[i] as number;
    if (!Number.isNaN(t)) hot[hots++] = t + (rise[i] as number);
    if (!Number.isNaN(w)) wind[winds++] = w;
  }
  return {
    hotC: hots >= FEWEST_HOURS ? sampleQuantile(hot.subarray(0, hots), UPPER_SHARE) : null,
    windyMs: winds >= FEWEST_HOURS ? sampleQuantile(wind.subarray(0, winds), UPPER_SHARE) : null,
  };
}

/** Water on an array, without what depends on the rest of the series: the part that can be kept month by month. */
export interface FilmSeries {
  firstHour: number;
  hours: number;
  /** Thousandths of a millimetre are the resolution; NaN: not known. */
  rainFilmMm: Float32Array;
  dewFilmMm: Float32Array;
  /** Bits of SIGN an hour. */
  signs: Uint8Array;
}

/** What is certain, or possible, of an hour's water. */
const SIGN = {
  thunder: 1,
  snowLies: 2,
  snowMayLie: 4,
  rainWet: 8,
  rainMayBe: 16,
  dewWet: 32,
  dewMayBe: 64,
} as const;

/** Raised when the film model changes, so that what is kept of an older one is computed anew. */
export const FILM_MODEL = "film/1";

/**
 * Water on an array through a series of hours.
 *
 * Films of rain and dew are kept as bounds: an hour whose precipitation was not observed may have soaked the array, so
 * the bounds part, and meet again once any film must have dried or was topped up.
 *
 * @param start water before the first hour, from an earlier call; absent: nothing is known of it
 * @returns the films, and the water after the last hour, from which a later call goes on exactly
 * @shape O(hours); inputs are not mutated
 */
export function waterFilms(
  series: WeatherSeries,
  where: LatLon,
  start: FilmState = unknownFilm(),
  sun = sunByHour(series, where),
): { films: FilmSeries; end: FilmState } {
  const films = emptyFilms(series.firstHour, series.hours);
  let film = start;
  for (let i = 0; i < series.hours; i++) {
    const hour = hourWeather(series, i, sun[i] as number);
    film = filmStep(film, hour, series.thunder[i] === 1);
    films.rainFilmMm[i] = asNumber(film.rain);
    films.dewFilmMm[i] = asNumber(film.dew);
    films.signs[i] = signsOf(film, hour);
  }
  return { films, end: film };
}

/** Films of hours that are still to be filled in. */
export function emptyFilms(firstHour: number, hours: number): FilmSeries {
  return {
    firstHour,
    hours,
    rainFilmMm: new Float32Array(hours),
    dewFilmMm: new Float32Array(hours),
    signs: new Uint8Array(hours),
  };
}

/**
 * Whether each hour was wet, and its state. An hour is wet when both bounds of a film are at WET_FILM_MM or more (or
 * rain fell in it), dry when both are below, else unknown. Unknown never becomes dry.
 *
 * State of an hour, first that holds: thunder (heard in it or the two hours before), snow (falling at or below 0 °C, or
 * lying), rain (film of rain, or rain in the hour), dew, unknown, hot, wind, dry.
 *
 * @param films of the same hours
 * @param thresholds absent: taken from this series
 */
export function hourStates(
  series: WeatherSeries,
  films: FilmSeries,
  where: LatLon,
  options: { thresholds?: StationThresholds | undefined; sun?: Float32Array } = {},
): WetnessSeries {
  const sun = options.sun ?? sunByHour(series, where);
  const limits = options.thresholds ?? stationThresholds(series, where, sun);
  const hotC = limits.hotC ?? Number.POSITIVE_INFINITY;
  const windyMs = limits.windyMs ?? Number.POSITIVE_INFINITY;
  const rise = moduleRise(sun);
  const state = new Uint8Array(series.hours);
  const wet = new Uint8Array(series.hours);
  for (let i = 0; i < series.hours; i++) {
    const signs = films.signs[i] as number;
    wet[i] = wetCode(signs);
    const temperatureC = series.temperatureC[i] as number;
    const certain = stateOfWater(signs, temperatureC);
    if (certain >= 0) state[i] = certain;
    else if ((sun[i] as number) > ENERGIZED_ELEVATION_DEG && temperatureC + (rise[i] as number) > hotC)
      state[i] = CODE.hot;
    else state[i] = (series.windMs[i] as number) > windyMs ? CODE.wind : CODE.dry;
  }
  const { firstHour, hours, rainFilmMm, dewFilmMm } = films;
  return { firstHour, hours, rainFilmMm, dewFilmMm, state, wet };
}

/** Films and states of a whole series at once. See waterFilms and hourStates. */
export function wetness(
  series: WeatherSeries,
  where: LatLon,
  start: FilmState = unknownFilm(),
  thresholds?: StationThresholds,
): { wetness: WetnessSeries; end: FilmState } {
  const sun = sunByHour(series, where);
  const { films, end } = waterFilms(series, where, start, sun);
  return { wetness: hourStates(series, films, where, { thresholds, sun }), end };
}

function hourWeather(series: WeatherSeries, i: number, sunDeg: number): HourWeather {
  const temperatureC = series.temperatureC[i] as number;
  let dew = series.dewPointC[i] as number;
  let humidity = series.relativeHumidityPct[i] as number;
  if (Number.isNaN(humidity)) humidity = relativeHumidityPct(temperatureC, dew);
  else if (Number.isNaN(dew)) dew = dewPointC(temperatureC, humidity);
  return {
    precipitationMm: series.precipitationMm[i] as number,
    temperatureC,
    dewPointC: dew,
    relativeHumidityPct: humidity,
    windMs: series.windMs[i] as number,
    sunDeg,
  };
}

function asNumber(bounds: Bounds): number {
  if (bounds.high - bounds.low > FILM_SPREAD_MM) return Number.NaN;
  return Math.round((bounds.high + bounds.low) * 500) / 1000;
}

function signsOf(film: FilmState, hour: HourWeather): number {
  const rainsNow = hour.precipitationMm > 0 && hour.temperatureC > 0;
  const snowsNow = hour.precipitationMm > 0 && hour.temperatureC <= 0;
  return (
    (film.hoursSinceThunder < THUNDER_HOURS ? SIGN.thunder : 0) |
    (film.snow.low >= FILM.snowCoverMm || snowsNow ? SIGN.snowLies : 0) |
    (film.snow.high >= FILM.snowCoverMm ? SIGN.snowMayLie : 0) |
    (rainsNow || film.rain.low >= WET_FILM_MM ? SIGN.rainWet : 0) |
    (film.rain.high >= WET_FILM_MM ? SIGN.rainMayBe : 0) |
    (film.dew.low >= WET_FILM_MM ? SIGN.dewWet : 0) |
    (film.dew.high >= WET_FILM_MM ? SIGN.dewMayBe : 0)
  );
}

function wetCode(signs: number): 0 | 1 | 255 {
  if (signs & (SIGN.rainWet | SIGN.dewWet)) return 1;
  return signs & (SIGN.rainMayBe | SIGN.dewMayBe) ? 255 : 0;
}

/** The state that water makes of an hour, or that it is not known; -1: it is dry, and may be hot or windy. */
function stateOfWater(signs: number, temperatureC: number): number {
  if (signs & SIGN.thunder) return CODE.thunder;
  if (signs & SIGN.snowLies) return CODE.snow;
  if (signs & SIGN.rainWet) return CODE.rain;
  // Dew is known, but rain may lie over it: wet either way, and the drier name is the cautious one.
  if (signs & SIGN.dewWet && !(signs & SIGN.rainMayBe)) return CODE.dew;
  if (wetCode(signs) !== 0) return CODE.unknown;
  if (signs & SIGN.snowMayLie && temperatureC <= 0) return CODE.unknown;
  return -1;
}
