import type { LatLon } from "../core/earth.ts";
import { sampleQuantile } from "../core/statistics.ts";
import { HOUR_MS, type WeatherSeries } from "../core/weather-series.ts";
import { dewPointC, relativeHumidityPct } from "./dew-point.ts";
import { type Bounds, FILM, type FilmState, filmStep, type HourWeather, unknownFilm } from "./film-step.ts";
import { ENERGIZED_ELEVATION_DEG } from "./solar-time.ts";
import { sunElevationDeg } from "./sun-position.ts";
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

function moduleC(temperatureC: number, sunDeg: number): number {
  return temperatureC + MODULE_RISE_C * Math.max(0, Math.sin((sunDeg * Math.PI) / 180));
}

/** Sun at the middle of each hour, degrees. */
function sunByHour(series: WeatherSeries, where: LatLon): Float32Array {
  const sun = new Float32Array(series.hours);
  for (let i = 0; i < series.hours; i++) sun[i] = sunElevationDeg((series.firstHour + i - 0.5) * HOUR_MS, where);
  return sun;
}

/** Thresholds from the energised hours of a series. */
export function stationThresholds(
  series: WeatherSeries,
  where: LatLon,
  sun = sunByHour(series, where),
): StationThresholds {
  const hot: number[] = [];
  const wind: number[] = [];
  for (let i = 0; i < series.hours; i++) {
    const elevation = sun[i] as number;
    if (elevation <= ENERGIZED_ELEVATION_DEG) continue;
    const t = series.temperatureC[i] as number;
    const w = series.windMs[i] as number;
    if (!Number.isNaN(t)) hot.push(moduleC(t, elevation));
    if (!Number.isNaN(w)) wind.push(w);
  }
  return {
    hotC: hot.length >= FEWEST_HOURS ? sampleQuantile(hot, UPPER_SHARE) : null,
    windyMs: wind.length >= FEWEST_HOURS ? sampleQuantile(wind, UPPER_SHARE) : null,
  };
}

/**
 * Water on an array through a series of hours, and the state of each hour.
 *
 * Films of rain and dew are kept as bounds: an hour whose precipitation was not observed may have soaked the array, so
 * the bounds part, and meet again once any film must have dried or was topped up. An hour is wet when both bounds are
 * at WET_FILM_MM or more (or rain fell in it), dry when both are below, else unknown. Unknown never becomes dry.
 *
 * State of an hour, first that holds: thunder (heard in it or the two hours before), snow (falling at or below 0 °C, or
 * lying), rain (film of rain, or rain in the hour), dew, unknown, hot, wind, dry.
 *
 * @param start water before the first hour, from an earlier call; absent: nothing is known of it
 * @param thresholds absent: taken from this series
 * @returns the wetness, and the water after the last hour, from which a later call goes on exactly
 * @shape O(hours); inputs are not mutated
 */
export function wetness(
  series: WeatherSeries,
  where: LatLon,
  start: FilmState = unknownFilm(),
  thresholds?: StationThresholds,
): { wetness: WetnessSeries; end: FilmState } {
  const sun = sunByHour(series, where);
  const limits = thresholds ?? stationThresholds(series, where, sun);
  const out: WetnessSeries = {
    firstHour: series.firstHour,
    hours: series.hours,
    rainFilmMm: new Float32Array(series.hours),
    dewFilmMm: new Float32Array(series.hours),
    state: new Uint8Array(series.hours),
    wet: new Uint8Array(series.hours),
  };
  let film = start;
  for (let i = 0; i < series.hours; i++) {
    const hour = hourWeather(series, i, sun[i] as number);
    film = filmStep(film, hour, series.thunder[i] === 1);
    out.rainFilmMm[i] = asNumber(film.rain);
    out.dewFilmMm[i] = asNumber(film.dew);
    const wet = wetCode(film, hour);
    out.wet[i] = wet;
    out.state[i] = stateOf(film, hour, wet, limits);
  }
  return { wetness: out, end: film };
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
  return bounds.high - bounds.low <= FILM_SPREAD_MM ? (bounds.high + bounds.low) / 2 : Number.NaN;
}

const rainsNow = (hour: HourWeather) => hour.precipitationMm > 0 && hour.temperatureC > 0;

function wetCode(film: FilmState, hour: HourWeather): 0 | 1 | 255 {
  if (rainsNow(hour) || film.rain.low >= WET_FILM_MM || film.dew.low >= WET_FILM_MM) return 1;
  return film.rain.high < WET_FILM_MM && film.dew.high < WET_FILM_MM ? 0 : 255;
}

function stateOf(film: FilmState, hour: HourWeather, wet: number, limits: StationThresholds): number {
  if (film.hoursSinceThunder < THUNDER_HOURS) return CODE.thunder;
  if (film.snow.low >= FILM.snowCoverMm || (hour.precipitationMm > 0 && hour.temperatureC <= 0)) return CODE.snow;
  if (rainsNow(hour) || film.rain.low >= WET_FILM_MM) return CODE.rain;
  // Dew is known, but rain may lie over it: wet either way, and the drier name is the cautious one.
  if (film.dew.low >= WET_FILM_MM && film.rain.high < WET_FILM_MM) return CODE.dew;
  if (wet !== 0) return CODE.unknown;
  if (film.snow.high >= FILM.snowCoverMm && hour.temperatureC <= 0) return CODE.unknown;
  if (
    hour.sunDeg > ENERGIZED_ELEVATION_DEG &&
    limits.hotC !== null &&
    moduleC(hour.temperatureC, hour.sunDeg) > limits.hotC
  )
    return CODE.hot;
  if (limits.windyMs !== null && hour.windMs > limits.windyMs) return CODE.wind;
  return CODE.dry;
}
