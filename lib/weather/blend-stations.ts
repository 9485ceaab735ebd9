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
  for (const s of others) {
    for (const name of ELEMENTS) fillFrom(series[name], s[name], firstHour - s.firstHour);
    hearFrom(series.thunder, s.thunder, firstHour - s.firstHour);
  }
  return { series, ...judgeRain(series.precipitationMm, first, others, firstHour) };
}

/** A series over more hours, in arrays of its own. */
function spread(first: WeatherSeries, firstHour: HourIndex, hours: number): WeatherSeries {
  if (first.firstHour === firstHour && first.hours === hours) {
    const series = { ...first, thunder: first.thunder.slice() };
    for (const name of ELEMENTS) series[name] = first[name].slice();
    return series;
  }
  const series = unknownSeries(first.stationId, firstHour, hours);
  const at = first.firstHour - firstHour;
  for (const name of ELEMENTS) series[name].set(first[name], at);
  series.thunder.set(first.thunder, at);
  return series;
}

/** Values of hours that are not known yet, from another station. @param shift from places in the values to places in the other's */
function fillFrom(values: Float32Array, other: Float32Array, shift: number): void {
  const last = Math.min(values.length, other.length - shift);
  for (let i = Math.max(0, -shift); i < last; i++)
    if (Number.isNaN(values[i] as number)) values[i] = other[i + shift] as number;
}

function hearFrom(thunder: Int8Array, other: Int8Array, shift: number): void {
  const last = Math.min(thunder.length, other.length - shift);
  for (let i = Math.max(0, -shift); i < last; i++) if (thunder[i] === -1) thunder[i] = other[i + shift] as Thunder;
}

/** Count the hours that others gave, and take back those that the first called dry and every other measured rain in. */
function judgeRain(
  rain: Float32Array,
  first: WeatherSeries,
  others: readonly WeatherSeries[],
  firstHour: HourIndex,
): { filled: number; contradicted: number } {
  const out = { filled: 0, contradicted: 0 };
  const own = first.precipitationMm;
  const shift = firstHour - first.firstHour;
  const [nearest] = others as readonly [WeatherSeries, ...WeatherSeries[]];
  const nearestMm = nearest.precipitationMm;
  const nearestShift = firstHour - nearest.firstHour;
  const mayContradict = others.length >= 2;
  for (let i = 0; i < rain.length; i++) {
    const mm = own[i + shift] ?? Number.NaN;
    if (Number.isNaN(mm)) {
      if (!Number.isNaN(rain[i] as number)) out.filled++;
    } else if (mm === 0 && mayContradict && (nearestMm[i + nearestShift] as number) >= CONTRADICTION_MM) {
      if (!isContradicted(others, firstHour + i)) continue;
      out.contradicted++;
      rain[i] = Number.NaN;
    }
  }
  return out;
}

/** Whether every other station measured rain in an hour that the first called dry. */
function isContradicted(others: readonly WeatherSeries[], hour: HourIndex): boolean {
  for (const s of others) if (!((s.precipitationMm[hour - s.firstHour] as number) >= CONTRADICTION_MM)) return false;
  return true;
}
