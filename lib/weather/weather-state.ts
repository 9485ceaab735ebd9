/**
 * What an hour was like for an array, one state an hour, first match in this order from thunder down.
 * `unknown` is never merged with `dry`.
 */
export const WEATHER_STATES = ["unknown", "dry", "hot", "wind", "dew", "rain", "thunder", "snow"] as const;
export type WeatherState = (typeof WEATHER_STATES)[number];

/** Code of a state in a `Uint8Array`: its place in WEATHER_STATES. */
export function stateCode(state: WeatherState): number {
  return WEATHER_STATES.indexOf(state);
}

/** States in which water lies on or runs over the array. Thunder counts as wet only with a film: see `isWet`. */
export const WET_STATES: readonly WeatherState[] = ["rain", "dew"];

/** A film of this depth or more is wet, mm. Engineering judgement; the contract's `wet` uses it. */
export const WET_FILM_MM = 0.05;

/**
 * Films of water on an array and the state of each hour, aligned with a WeatherSeries.
 * NaN film: not known (no precipitation observation recently enough).
 */
export interface WetnessSeries {
  firstHour: number;
  hours: number;
  rainFilmMm: Float32Array;
  dewFilmMm: Float32Array;
  /** WEATHER_STATES code an hour. */
  state: Uint8Array;
  /** 1 wet (either film at WET_FILM_MM or more, or rain fell in the hour), 0 dry, 255 unknown. */
  wet: Uint8Array;
}
