import { type HourIndex, type Thunder, unknownSeries, type WeatherSeries } from "../core/weather-series.ts";

/** Agreement (Cohen's kappa) from which another station's rain may stand in for an hour that the first missed. */
export const TRUSTED_KAPPA = 0.4;
/** Fewer shared hours, or fewer with precipitation at either, tell nothing of how two stations agree. */
const FEWEST_SHARED = 500;
const FEWEST_WET = 30;
/** The first station may have missed a shower that both others measured at this depth or more. */
const CONTRADICTION_MM = 1;

/** How two stations agree on whether precipitation fell in an hour. */
export interface StationAgreement {
  shared: number;
  wetAtEither: number;
  /** null: too few hours to tell. */
  kappa: number | null;
  /** May stand in for the first. */
  isTrusted: boolean;
}

/**
 * Agreement of two stations over the hours that both observed: Cohen's kappa of precipitation in the hour or none. A
 * plain share of equal hours would call any two dry-climate stations alike.
 * @source Cohen 1960, Educational and Psychological Measurement 20, 37-46; the threshold is that of "moderate" agreement
 *   in Landis and Koch 1977, Biometrics 33, 159-174 (both from memory)
 */
export function stationAgreement(first: WeatherSeries, other: WeatherSeries): StationAgreement {
  let both = 0;
  let onlyFirst = 0;
  let onlyOther = 0;
  let neither = 0;
  const shift = first.firstHour - other.firstHour;
  for (let i = 0; i < first.hours; i++) {
    const a = first.precipitationMm[i] as number;
    const b = other.precipitationMm[i + shift] ?? Number.NaN;
    if (Number.isNaN(a) || Number.isNaN(b)) continue;
    if (a > 0 && b > 0) both++;
    else if (a > 0) onlyFirst++;
    else if (b > 0) onlyOther++;
    else neither++;
  }
  const shared = both + onlyFirst + onlyOther + neither;
  const wetAtEither = both + onlyFirst + onlyOther;
  if (shared < FEWEST_SHARED || wetAtEither < FEWEST_WET) return { shared, wetAtEither, kappa: null, isTrusted: false };
  const observed = (both + neither) / shared;
  const wet = ((both + onlyFirst) / shared) * ((both + onlyOther) / shared);
  const dry = ((onlyOther + neither) / shared) * ((onlyFirst + neither) / shared);
  const kappa = (observed - wet - dry) / (1 - wet - dry);
  return { shared, wetAtEither, kappa, isTrusted: kappa >= TRUSTED_KAPPA };
}

export interface Blend {
  series: WeatherSeries;
  /** Hours whose precipitation another station gave. */
  filled: number;
  /** Hours that the first called dry and every trusted other measured rain in: unknown, rather than one of the two. */
  contradicted: number;
}

const ELEMENTS = ["precipitationMm", "temperatureC", "dewPointC", "relativeHumidityPct", "windMs"] as const;

/**
 * Weather of a site from its first station, with what trusted others know where the first knows nothing. An hour that
 * nobody observed stays unknown; hours before and after the first station's series come from the others.
 * @param others trusted ones only, nearest first
 */
export function blendStations(first: WeatherSeries, others: readonly WeatherSeries[]): Blend {
  if (others.length === 0) return { series: first, filled: 0, contradicted: 0 };
  const all = [first, ...others];
  const firstHour = Math.min(...all.map((s) => s.firstHour));
  const hours = Math.max(...all.map((s) => s.firstHour + s.hours)) - firstHour;
  const series = spread(first, firstHour, hours);
  const isOwn = series.firstHour === first.firstHour && series.hours === first.hours;
  const holes = isOwn ? holesOf(first) : findHoles(series);
  for (const s of others) {
    for (const name of ELEMENTS) fillFrom(series, name, holes[name], s, first);
    hearFrom(series, holes.thunder, s, first);
  }
  return { series, ...judgeRain(series, holes.precipitationMm, first, others) };
}

/** A series over more hours; arrays that fit are the first's own until something is written into them. */
function spread(first: WeatherSeries, firstHour: HourIndex, hours: number): WeatherSeries {
  if (first.firstHour === firstHour && first.hours === hours) return { ...first };
  const series = unknownSeries(first.stationId, firstHour, hours);
  const at = first.firstHour - firstHour;
  for (const name of ELEMENTS) series[name].set(first[name], at);
  series.thunder.set(first.thunder, at);
  return series;
}

/** Places of a series at which an element is not known. */
type Holes = Record<(typeof ELEMENTS)[number] | "thunder", Int32Array>;

const holesOfStations = new WeakMap<WeatherSeries, Holes>();

/** A station stands in many blends, and most of its hours are known: where they are not is looked for once. */
function holesOf(series: WeatherSeries): Holes {
  const before = holesOfStations.get(series);
  if (before) return before;
  const found = findHoles(series);
  holesOfStations.set(series, found);
  return found;
}

function findHoles(series: WeatherSeries): Holes {
  const out = { thunder: placesOf(series.thunder, true) } as Holes;
  for (const name of ELEMENTS) out[name] = placesOf(series[name], false);
  return out;
}

function placesOf(values: Float32Array | Int8Array, isThunder: boolean): Int32Array {
  const places = new Int32Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (isThunder ? value === -1 : Number.isNaN(value)) places[count++] = i;
  }
  return places.slice(0, count);
}

/** Values of hours that are not known yet, from another station. */
function fillFrom(
  series: WeatherSeries,
  name: (typeof ELEMENTS)[number],
  holes: Int32Array,
  station: WeatherSeries,
  first: WeatherSeries,
): void {
  if (holes.length === 0 || holesOf(station)[name].length === station.hours) return;
  if (series[name] === first[name]) series[name] = first[name].slice();
  const values = series[name];
  const other = station[name];
  const shift = series.firstHour - station.firstHour;
  for (let k = 0; k < holes.length; k++) {
    const i = holes[k] as number;
    if (Number.isNaN(values[i] as number)) values[i] = other[i + shift] ?? Number.NaN;
  }
}

function hearFrom(series: WeatherSeries, holes: Int32Array, station: WeatherSeries, first: WeatherSeries): void {
  if (holes.length === 0 || holesOf(station).thunder.length === station.hours) return;
  if (series.thunder === first.thunder) series.thunder = first.thunder.slice();
  const { thunder } = series;
  const shift = series.firstHour - station.firstHour;
  for (let k = 0; k < holes.length; k++) {
    const i = holes[k] as number;
    if (thunder[i] === -1) thunder[i] = (station.thunder[i + shift] ?? -1) as Thunder;
  }
}

/** Count the hours that others gave, and take back those that the first called dry and every other measured rain in. */
function judgeRain(
  series: WeatherSeries,
  holes: Int32Array,
  first: WeatherSeries,
  others: readonly WeatherSeries[],
): { filled: number; contradicted: number } {
  const out = { filled: 0, contradicted: 0 };
  const filledMm = series.precipitationMm;
  for (let k = 0; k < holes.length; k++) if (!Number.isNaN(filledMm[holes[k] as number] as number)) out.filled++;
  const [nearest, another] = others;
  if (!nearest || !another) return out;
  const own = first.precipitationMm;
  const nearestMm = nearest.precipitationMm;
  const shift = first.firstHour - nearest.firstHour;
  for (let i = 0; i < own.length; i++) {
    if (own[i] !== 0 || !((nearestMm[i + shift] as number) >= CONTRADICTION_MM)) continue;
    if (!isContradicted(others, first.firstHour + i)) continue;
    out.contradicted++;
    if (series.precipitationMm === own) series.precipitationMm = own.slice();
    series.precipitationMm[i + first.firstHour - series.firstHour] = Number.NaN;
  }
  return out;
}

/** Whether every other station measured rain in an hour that the first called dry. */
function isContradicted(others: readonly WeatherSeries[], hour: HourIndex): boolean {
  for (const s of others) if (!((s.precipitationMm[hour - s.firstHour] as number) >= CONTRADICTION_MM)) return false;
  return true;
}
