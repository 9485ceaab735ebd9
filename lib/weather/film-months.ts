import type { LatLon } from "../core/earth.ts";
import type { WeatherSeries } from "../core/weather-series.ts";
import { type FilmState, unknownFilm } from "./film-step.ts";
import { monthOf } from "./packing.ts";
import { emptyFilms, FILM_MODEL, type FilmSeries, waterFilms } from "./wetness.ts";

/** Stored for an hour whose film is not known. */
const UNKNOWN = -32_768;
/** Stored units per mm, the resolution of a film. */
const SCALE = 1000;

/** Films of one station and UTC month as they are stored: little-endian int16 each, signs one byte an hour. */
export interface FilmMonth {
  /** `YYYY-MM`. */
  month: string;
  /** Fingerprint of all that the films were computed from; another one makes them void. */
  input: string;
  /** Null: stored, and not read. */
  rain: Uint8Array | null;
  dew: Uint8Array | null;
  signs: Uint8Array;
  /** Water after the last hour. */
  end: FilmState;
}

/** Films that were computed now. */
export type MadeMonth = FilmMonth & { rain: Uint8Array; dew: Uint8Array };

/** A fingerprint of a heading and bytes. Given by the caller, as pure code knows no hash. */
export type Fingerprint = (heading: string, parts: readonly Uint8Array[]) => string;

/**
 * Films of a series, computed only where they are not kept already. A month's films follow from its weather and from
 * the water before it; while both are as they were, what was kept is what would be computed. After a correction the
 * films are computed anew from that month on until the water at a month's end is as it was.
 *
 * @param series begins and ends with a month, as unpackMonths gives it
 * @param sun at the middle of each hour of the series, degrees, where that is known already
 * @returns the films, and the months that were computed now
 * @throws RangeError when the series does not begin with a month
 */
export function extendFilms(
  series: WeatherSeries,
  where: LatLon,
  kept: ReadonlyMap<string, FilmMonth>,
  fingerprint: Fingerprint,
  sun?: Float32Array,
): { films: FilmSeries; made: MadeMonth[] } {
  const films = emptyFilms(series.firstHour, series.hours);
  const made: MadeMonth[] = [];
  let water = unknownFilm();
  for (let at = 0; at < series.hours; ) {
    const { month, firstHour, hours } = monthOf(series.firstHour + at);
    if (firstHour !== series.firstHour + at) throw new RangeError("extendFilms requires a series of whole months");
    const part = partOf(series, at, hours);
    const input = fingerprint(heading(where, water), bytesOf(part));
    const found = kept.get(month);
    let used = found;
    if (found?.input !== input || !used) {
      const now = computed(part, where, { water, sun: sun?.subarray(at, at + part.hours) }, { month, input });
      made.push(now);
      used = now;
    }
    unpackInto(films, at, used);
    water = used.end;
    at += hours;
  }
  return { films, made };
}

const heading = ({ latitude, longitude }: LatLon, water: FilmState) =>
  JSON.stringify([FILM_MODEL, latitude, longitude, water]);

const ELEMENTS = ["precipitationMm", "temperatureC", "dewPointC", "relativeHumidityPct", "windMs"] as const;

function partOf(series: WeatherSeries, at: number, hours: number): WeatherSeries {
  const cut = { ...series, firstHour: series.firstHour + at, hours: Math.min(hours, series.hours - at) };
  for (const name of ELEMENTS) cut[name] = series[name].subarray(at, at + hours);
  cut.thunder = series.thunder.subarray(at, at + hours);
  return cut;
}

function bytesOf(part: WeatherSeries): Uint8Array[] {
  return [...ELEMENTS.map((name) => part[name]), part.thunder].map(
    (a) => new Uint8Array(a.buffer, a.byteOffset, a.byteLength),
  );
}

function computed(
  part: WeatherSeries,
  where: LatLon,
  { water, sun }: { water: FilmState; sun: Float32Array | undefined },
  name: { month: string; input: string },
): MadeMonth {
  const { films, end } = waterFilms(part, where, water, sun);
  return { ...name, rain: packed(films.rainFilmMm), dew: packed(films.dewFilmMm), signs: films.signs, end };
}

function packed(film: Float32Array): Uint8Array {
  const bytes = new Uint8Array(film.length * 2);
  const view = new DataView(bytes.buffer);
  film.forEach((mm, i) => {
    view.setInt16(i * 2, Number.isNaN(mm) ? UNKNOWN : Math.round(mm * SCALE), true);
  });
  return bytes;
}

function unpackInto(films: FilmSeries, at: number, { rain, dew, signs }: FilmMonth): void {
  films.signs.set(signs, at);
  for (const [bytes, into] of [
    [rain, films.rainFilmMm],
    [dew, films.dewFilmMm],
  ] as const) {
    if (bytes === null) {
      into.fill(Number.NaN, at, at + signs.length);
      continue;
    }
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    for (let i = 0; i < signs.length; i++) {
      const stored = view.getInt16(i * 2, true);
      into[at + i] = stored === UNKNOWN ? Number.NaN : stored / SCALE;
    }
  }
}
