import type { LatLon } from "../../core/earth.ts";
import { HOUR_MS, type WeatherSeries } from "../../core/weather-series.ts";
import { type FilmState, filmStep, type HourWeather, unknownFilm } from "../../weather/film-step.ts";
import { sunElevationDeg } from "../../weather/sun-position.ts";
import { type FilmSeries, waterFilms } from "../../weather/wetness.ts";
import type { OutlookHour } from "./plan-input.ts";
import { ROOF_CHANCE, ROOF_FILM_MM } from "./working-windows.ts";

/** A gust is about so many times the mean wind over open land. Judgement. */
export const GUST_FACTOR = 1.5;
/** Gusts of this keep people off a roof, m/s. Judgement. */
export const ROOF_GUST_MS = 12;
/** Rain in an hour that keeps people off a roof, mm. Judgement. */
export const ROOF_RAIN_MM = 0.2;

const MONTHS = 12;
const HOURS = 24;
/** Known hours of a month and hour of day below which past years say nothing. Judgement. */
const FEWEST = 20;
/** Hours without any weather after which nothing is known of the water that lay before. */
const LONGEST_GAP_HOURS = 48;
/** A film whose bounds are farther apart is not known, mm. */
const UNKNOWN_MM = 0.5;

/** How a station's hours were in past years, by UTC month and hour (month x 24 + hour); NaN: too few were seen. */
export interface RoofClimate {
  rain: Float64Array;
  gust: Float64Array;
  thunder: Float64Array;
  /** What three in ten such hours exceed, mm. */
  filmMm: Float64Array;
  /** What three in ten such hours fall short of, °C. */
  temperatureC: Float64Array;
}

/** Weather of past years at a place, and the water on its surfaces after the last hour known. */
export interface RoofPast {
  climate: RoofClimate;
  water: FilmState;
  /** The hour, since the epoch, at whose end that water lay. */
  lastHour: number;
}

/**
 * What a station's stored weather says of roof work: how often its hours were unfit, and the water that lies now.
 * @shape O(hours); nothing is mutated
 */
export function roofPast(series: WeatherSeries, where: LatLon): RoofPast {
  let known = series.hours;
  while (known > 0 && !isKnown(series, known - 1)) known--;
  const seen = cut(series, known);
  const { films, end } = waterFilms(seen, where);
  return { climate: climateOf(seen, films), water: end, lastHour: series.firstHour + known - 1 };
}

const isKnown = (s: WeatherSeries, i: number) =>
  !Number.isNaN(s.precipitationMm[i] as number) || !Number.isNaN(s.temperatureC[i] as number);

function cut(series: WeatherSeries, hours: number): WeatherSeries {
  return {
    ...series,
    hours,
    precipitationMm: series.precipitationMm.subarray(0, hours),
    temperatureC: series.temperatureC.subarray(0, hours),
    dewPointC: series.dewPointC.subarray(0, hours),
    relativeHumidityPct: series.relativeHumidityPct.subarray(0, hours),
    windMs: series.windMs.subarray(0, hours),
    thunder: series.thunder.subarray(0, hours),
  };
}

/** Cell of an hour by when it ends. */
function cellOf(hour: number): number {
  const at = new Date(hour * HOUR_MS);
  return at.getUTCMonth() * HOURS + at.getUTCHours();
}

function climateOf(series: WeatherSeries, films: FilmSeries): RoofClimate {
  const cells = Array.from({ length: MONTHS * HOURS }, () => ({
    ...{ rain: [] as number[], gust: [] as number[], thunder: [] as number[] },
    ...{ film: [] as number[], temperature: [] as number[] },
  }));
  for (let i = 0; i < series.hours; i++) {
    const cell = cells[cellOf(series.firstHour + i)] as (typeof cells)[number];
    const add = (into: number[], value: number) => {
      if (!Number.isNaN(value)) into.push(value);
    };
    const rain = series.precipitationMm[i] as number;
    const wind = series.windMs[i] as number;
    const thunder = series.thunder[i] as number;
    add(cell.rain, Number.isNaN(rain) ? Number.NaN : rain > ROOF_RAIN_MM ? 1 : 0);
    add(cell.gust, Number.isNaN(wind) ? Number.NaN : wind * GUST_FACTOR > ROOF_GUST_MS ? 1 : 0);
    add(cell.thunder, thunder < 0 ? Number.NaN : thunder);
    add(cell.film, Math.max(films.rainFilmMm[i] as number, films.dewFilmMm[i] as number));
    add(cell.temperature, series.temperatureC[i] as number);
  }
  const of = (take: (cell: (typeof cells)[number]) => number) => Float64Array.from(cells, take);
  const mean = (values: number[]) =>
    values.length < FEWEST ? Number.NaN : values.reduce((sum, value) => sum + value, 0) / values.length;
  return {
    rain: of((cell) => mean(cell.rain)),
    gust: of((cell) => mean(cell.gust)),
    thunder: of((cell) => mean(cell.thunder)),
    filmMm: of((cell) => ranked(cell.film, 1 - ROOF_CHANCE)),
    temperatureC: of((cell) => ranked(cell.temperature, ROOF_CHANCE)),
  };
}

/** The value at a share of the sorted values, the nearest rank above. */
function ranked(values: number[], share: number): number {
  if (values.length < FEWEST) return Number.NaN;
  values.sort((a, b) => a - b);
  return values[Math.min(values.length - 1, Math.floor(share * values.length))] as number;
}

const orNull = (value: number | undefined) => (value === undefined || Number.isNaN(value) ? null : value);

/** Hours as past years have them. @param from first hour since the epoch, by its end; `to` is the last */
export function climateHours({ climate }: RoofPast, from: number, to: number): OutlookHour[] {
  return Array.from({ length: Math.max(0, to - from + 1) }, (_, k): OutlookHour => {
    const cell = cellOf(from + k);
    return {
      at: (from + k) * HOUR_MS,
      rainProbability: orNull(climate.rain[cell]),
      gustProbability: orNull(climate.gust[cell]),
      thunderProbability: orNull(climate.thunder[cell]),
      filmMm: orNull(climate.filmMm[cell]),
      temperatureC: orNull(climate.temperatureC[cell]),
      basis: "past_years",
    };
  });
}

/** One forecast hour as far as water on a roof depends on it; NaN: not said. */
export interface ForecastHour {
  hour: number;
  precipitationMm: number;
  temperatureC: number;
  windMs: number;
}

/**
 * Water on the surface through forecast hours, from the water that lay after the last hour observed, mm; null where it
 * is not known. Hours between that nobody observed or forecast part the bounds, as in the model of past weather. Dew
 * counts only as far as it is certain: a forecast without humidity does not say that there will be some.
 */
export function forecastFilm(past: RoofPast | null, hours: readonly ForecastHour[], where: LatLon): (number | null)[] {
  let water = past?.water ?? unknownFilm();
  let at = past?.lastHour ?? Number.NEGATIVE_INFINITY;
  // Whether it is open that water came at all, which is more than how fast it dried.
  let isOpen = water.rain.high - water.rain.low > UNKNOWN_MM;
  const unknown = { precipitationMm: Number.NaN, temperatureC: Number.NaN, windMs: Number.NaN };
  const step = (hour: number, weather: Omit<ForecastHour, "hour">) => {
    const sunDeg = sunElevationDeg((hour - 0.5) * HOUR_MS, where);
    const full: HourWeather = { ...weather, dewPointC: Number.NaN, relativeHumidityPct: Number.NaN, sunDeg };
    water = filmStep(water, full, false);
    at = hour;
    if (Number.isNaN(weather.precipitationMm)) isOpen = true;
    else if (water.rain.high < ROOF_FILM_MM || water.rain.low >= ROOF_FILM_MM) isOpen = false;
  };
  return hours.map((weather) => {
    if (weather.hour - at > LONGEST_GAP_HOURS) [water, isOpen] = [unknownFilm(), true];
    else for (let gap = at + 1; gap < weather.hour; gap++) step(gap, unknown);
    step(weather.hour, weather);
    // Snow that is certain to lie keeps people off as water does.
    if (water.snow.low >= ROOF_FILM_MM) return Math.max(ROOF_FILM_MM, water.snow.low);
    if (isOpen) return null;
    return Math.max((water.rain.low + water.rain.high) / 2, water.dew.low);
  });
}
