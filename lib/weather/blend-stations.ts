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
  const at = first.firstHour - firstHour;
  for (const name of ELEMENTS) {
    series[name].set(first[name], at);
    fill(series[name], others, name, firstHour);
  }
  series.thunder.set(first.thunder, at);
  for (let i = 0; i < hours; i++)
    for (let k = 0; series.thunder[i] === -1 && k < others.length; k++) {
      const s = others[k] as WeatherSeries;
      series.thunder[i] = (s.thunder[firstHour + i - s.firstHour] ?? -1) as Thunder;
    }
  const rain = series.precipitationMm;
  for (let i = 0; i < hours; i++) {
    const own = first.precipitationMm[i - at] ?? Number.NaN;
    if (!Number.isNaN(own)) {
      if (own !== 0 || others.length < 2 || !isContradicted(others, firstHour + i)) continue;
      out.contradicted++;
      rain[i] = Number.NaN;
    } else if (!Number.isNaN(rain[i] as number)) out.filled++;
  }
  return out;
}

/** Values of hours that are not known yet from whoever is nearest and knows. */
function fill(
  values: Float32Array,
  others: readonly WeatherSeries[],
  name: (typeof ELEMENTS)[number],
  firstHour: HourIndex,
): void {
  for (let i = 0; i < values.length; i++) {
    if (!Number.isNaN(values[i] as number)) continue;
    for (const s of others) {
      const value = s[name][firstHour + i - s.firstHour] ?? Number.NaN;
      if (Number.isNaN(value)) continue;
      values[i] = value;
      break;
    }
  }
}

/** Whether every other station measured rain in an hour that the first called dry. */
function isContradicted(others: readonly WeatherSeries[], hour: HourIndex): boolean {
  for (const s of others) if (!((s.precipitationMm[hour - s.firstHour] as number) >= CONTRADICTION_MM)) return false;
  return true;
}
