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
  const series = unknownSeries(first.stationId, firstHour, hours);
  const out: Blend = { series, filled: 0, contradicted: 0 };
  // The farthest first, so that whoever is nearer and knows writes over it.
  for (const s of all.toReversed()) {
    for (const name of ELEMENTS) layOver(series[name], s[name], s.firstHour - firstHour);
    const at = s.firstHour - firstHour;
    for (let i = 0; i < s.hours; i++) if (s.thunder[i] !== -1) series.thunder[at + i] = s.thunder[i] as Thunder;
  }
  const known = new Uint8Array(hours);
  const from = first.firstHour - firstHour;
  for (let i = 0; i < first.hours; i++) if (!Number.isNaN(first.precipitationMm[i] as number)) known[from + i] = 1;
  for (let i = 0; i < hours; i++) {
    if (known[i] === 1) {
      if (others.length < 2 || series.precipitationMm[i] !== 0 || !isContradicted(others, firstHour + i)) continue;
      out.contradicted++;
      series.precipitationMm[i] = Number.NaN;
    } else if (!Number.isNaN(series.precipitationMm[i] as number)) out.filled++;
  }
  return out;
}

function layOver(into: Float32Array, values: Float32Array, at: number): void {
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (!Number.isNaN(value)) into[at + i] = value;
  }
}

/** Whether every other station measured rain in an hour that the first called dry. */
function isContradicted(others: readonly WeatherSeries[], hour: HourIndex): boolean {
  for (const s of others) if (!((s.precipitationMm[hour - s.firstHour] as number) >= CONTRADICTION_MM)) return false;
  return true;
}
