import { saturationHpa } from "./dew-point.ts";

/**
 * Constants of the film model. All engineering judgement unless a source is named: smooth tilted glass and metal hold
 * little water, and nobody publishes drying rates of module frames.
 */
export const FILM = {
  /** Most water that stays on after rain, mm. */
  rainMaxMm: 1,
  /** Most dew before it runs off, mm. */
  dewMaxMm: 0.35,
  /** Dew laid down in a suitable hour, mm. */
  dewMmPerHour: 0.04,
  /** Clear-night surfaces are 2 to 3 K below the air, so dew begins before the air is saturated. */
  dewHumidityPct: 92,
  dewSpreadC: 1.5,
  dewWindMs: 3,
  /** Drying by sun: mm in an hour at the zenith, through an average sky. */
  sunMmPerHour: 0.175,
  windMmPerHourPerMs: 0.01,
  leastDayMmPerHour: 0.02,
  leastNightMmPerHour: 0.005,
  frozenFactor: 0.3,
  /** Melt per hour and degree above zero, mm water. */
  meltMmPerHourPerC: 0.15,
  /** A snow store below this no longer covers anything, mm water. */
  snowCoverMm: 0.05,
  /** More than this is never needed to tell wet from dry, mm water. */
  snowMaxMm: 20,
  /** Wind and humidity assumed at the far ends where they were not observed. */
  strongWindMs: 8,
  dryAirPct: 30,
} as const;

/** One hour of weather at the array; NaN: not observed. */
export interface HourWeather {
  precipitationMm: number;
  temperatureC: number;
  dewPointC: number;
  relativeHumidityPct: number;
  windMs: number;
  /** Elevation of the sun at the middle of the hour, degrees. */
  sunDeg: number;
}

/** Depths between which the truth lies, mm. They meet when everything was observed for long enough. */
export interface Bounds {
  low: number;
  high: number;
}

/** Water on the array between two hours. */
export interface FilmState {
  rain: Bounds;
  dew: Bounds;
  snow: Bounds;
  /** Hours since thunder, 99 when not within three hours. */
  hoursSinceThunder: number;
}

/** Nothing known: any film and any snow may lie there. */
export function unknownFilm(): FilmState {
  return {
    rain: { low: 0, high: FILM.rainMaxMm },
    dew: { low: 0, high: FILM.dewMaxMm },
    snow: { low: 0, high: FILM.snowMaxMm },
    hoursSinceThunder: 99,
  };
}

const clamp = (value: number, most: number) => Math.max(0, Math.min(most, value));

/**
 * Drying of an hour without rain, mm: sun and wind by day, and at any time at least what dry moving air takes up
 * (aerodynamic term of Penman's equation in Shuttleworth's 1993 form, constants from memory).
 * Where wind, temperature or humidity was not observed the two ends are those of still saturated and of dry windy air.
 */
export function drying(hour: HourWeather): Bounds {
  const { sunDeg, windMs, relativeHumidityPct, temperatureC } = hour;
  const sun = Math.max(0, Math.sin((sunDeg * Math.PI) / 180));
  const low = dryingMm(sunDeg > 0, sun, known(windMs, 0), known(relativeHumidityPct, 100), known(temperatureC, 0));
  // Where all was observed the ends are one.
  if (!Number.isNaN(windMs + relativeHumidityPct + temperatureC)) return { low, high: low };
  const [wind, humidity] = [known(windMs, FILM.strongWindMs), known(relativeHumidityPct, FILM.dryAirPct)];
  return { low, high: dryingMm(sunDeg > 0, sun, wind, humidity, known(temperatureC, 30)) };
}

const known = (value: number, otherwise: number) => (Number.isNaN(value) ? otherwise : value);

function dryingMm(isDay: boolean, sun: number, windMs: number, humidityPct: number, temperatureC: number): number {
  const day = isDay ? Math.max(FILM.leastDayMmPerHour, FILM.sunMmPerHour * sun + FILM.windMmPerHourPerMs * windMs) : 0;
  const frozen = temperatureC > 0 ? 1 : FILM.frozenFactor;
  return Math.max(FILM.leastNightMmPerHour, day * frozen, aerodynamicMm(windMs, humidityPct, temperatureC) * frozen);
}

function aerodynamicMm(windMs: number, humidityPct: number, temperatureC: number): number {
  const saturation = saturationHpa(temperatureC);
  const deficitHpa = saturation * (1 - humidityPct / 100);
  const slope = (saturation * 4284) / (temperatureC + 243.04) ** 2; // hPa per K
  const psychrometric = 0.66; // hPa per K near sea level
  const perDay = (0.643 * (1 + 0.536 * windMs) * deficitHpa) / 2.45;
  return (psychrometric / (slope + psychrometric)) * (perDay / 24);
}

/** Dew laid down in the hour: none, some, or not known. */
export function dewGain(hour: HourWeather): Bounds {
  const all = FILM.dewMmPerHour;
  if (hour.sunDeg > 0) return { low: 0, high: 0 };
  const spread = hour.temperatureC - hour.dewPointC;
  const humid = hour.relativeHumidityPct >= FILM.dewHumidityPct || spread <= FILM.dewSpreadC;
  const humidityKnown = !Number.isNaN(hour.relativeHumidityPct) || !Number.isNaN(spread);
  const calm = hour.windMs < FILM.dewWindMs;
  if (!Number.isNaN(hour.windMs) && !calm) return { low: 0, high: 0 };
  if (humidityKnown && !humid) return { low: 0, high: 0 };
  return { low: humidityKnown && calm ? all : 0, high: all };
}

/** Move the water on the array through one hour. */
export function filmStep(state: FilmState, hour: HourWeather, thunder: boolean): FilmState {
  const { precipitationMm: p, temperatureC } = hour;
  const isWarmthKnown = !Number.isNaN(temperatureC);
  // Liquid and frozen precipitation of the hour, mm water, as far as it is known; of unknown warmth it may be either.
  const fallLow = Number.isNaN(p) ? 0 : p;
  const fallHigh = Number.isNaN(p) ? FILM.snowMaxMm : p;
  const mayRain = !isWarmthKnown || temperatureC > 0;
  const maySnow = !isWarmthKnown || temperatureC <= 0;
  const rainLow = isWarmthKnown && mayRain ? fallLow : 0;
  const rainHigh = mayRain ? fallHigh : 0;
  const snowLow = isWarmthKnown && maySnow ? fallLow : 0;
  const snowHigh = maySnow ? fallHigh : 0;
  const dry = drying(hour);
  const dew = dewGain(hour);
  const meltLow = Math.max(0, isWarmthKnown ? temperatureC : 0) * FILM.meltMmPerHourPerC;
  const meltHigh = Math.max(0, isWarmthKnown ? temperatureC : 10) * FILM.meltMmPerHourPerC;
  const wettingLow = rainLow + Math.min(state.snow.low, meltLow);
  const wettingHigh = rainHigh + Math.min(state.snow.high, meltHigh);
  // Nothing dries in an hour in which water arrives.
  const rainDryHigh = wettingLow > 0 ? 0 : dry.high;
  const rainDryLow = wettingHigh > 0 ? 0 : dry.low;
  return {
    rain: {
      low: clamp(state.rain.low + wettingLow - rainDryHigh, FILM.rainMaxMm),
      high: clamp(state.rain.high + wettingHigh - rainDryLow, FILM.rainMaxMm),
    },
    dew: {
      low: clamp(state.dew.low + dew.low - (dew.low > 0 ? 0 : dry.high), FILM.dewMaxMm),
      high: clamp(state.dew.high + dew.high - (dew.high > 0 ? 0 : dry.low), FILM.dewMaxMm),
    },
    snow: {
      low: clamp(state.snow.low + snowLow - meltHigh, FILM.snowMaxMm),
      high: clamp(state.snow.high + snowHigh - meltLow, FILM.snowMaxMm),
    },
    hoursSinceThunder: thunder ? 0 : Math.min(99, state.hoursSinceThunder + 1),
  };
}
