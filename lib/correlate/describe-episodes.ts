import { HOUR_MS } from "../core/weather-series.ts";
import type { Episode } from "../faults/episode.ts";
import { ENERGIZED_ELEVATION_DEG } from "../weather/solar-time.ts";
import { sunElevationDeg } from "../weather/sun-position.ts";
import { WEATHER_STATES } from "../weather/weather-state.ts";
import type { CorrelateInput, HourFrame } from "./hour-frame.ts";
import type { UnitHours } from "./hours-at-risk.ts";
import type { EpisodeInWeather } from "./site-correlation.ts";

const CLEARS_WITHIN_HOURS = 3;
const RAIN_MEMORY_HOURS = 48;
const LONGEST_DRYING_HOURS = 14 * 24;

/** Each episode with the weather it began in. Without a frame (no log window) nothing is at risk. */
export function describeEpisodes(
  episodes: readonly Episode[],
  at: { frame: HourFrame; hours: readonly UnitHours[] } | null,
  input: CorrelateInput,
): EpisodeInWeather[] {
  const unitOf = new Map(at?.hours.map((h) => [h.unit.unitId, h]));
  return episodes.map((e) => {
    const i = at ? onsetHour(e.onset, at.frame, input) : -1;
    const unit = unitOf.get(e.unitId);
    const wetness = input.weather?.wetness;
    const w = wetness && at ? at.frame.firstHour + i - wetness.firstHour : -1;
    return {
      ...e,
      state: WEATHER_STATES[at?.frame.state[i] ?? 0] ?? "unknown",
      rainFilmMm: wetness?.rainFilmMm[w] ?? Number.NaN,
      dewFilmMm: wetness?.dewFilmMm[w] ?? Number.NaN,
      atRisk: unit?.atRisk[i] === 1,
      clearedOnDrying: wetness ? clearedOnDrying(e, wetness.wet, w) : null,
      hoursSinceRain: hoursSinceRain(e.onset, input),
      atDawn: isDawn(e.onset, input),
    };
  });
}

/**
 * Hour that an onset counts in. The array may wake inside an hour whose middle is still dark (or sleep in one whose
 * middle is already): such an onset counts in the neighbouring lit hour.
 */
function onsetHour(onset: number, frame: HourFrame, input: CorrelateInput): number {
  const i = Math.ceil(onset / HOUR_MS) - frame.firstHour;
  if (i < 0 || i >= frame.hours || frame.lit[i]) return i;
  if (sunElevationDeg(onset, input.where) <= ENERGIZED_ELEVATION_DEG) return i;
  if (frame.lit[i + 1]) return i + 1;
  return frame.lit[i - 1] ? i - 1 : i;
}

/**
 * Whether an episode that began wet ended within three hours of the first dry hour after its onset. Null where the end
 * says nothing, the onset was not wet, or the drying was not observed.
 */
function clearedOnDrying(e: Episode, wet: Uint8Array, from: number): boolean | null {
  if (e.censored !== null || e.end === null || wet[from] !== 1) return null;
  const endsAfterHours = Math.ceil((e.end - e.onset) / HOUR_MS);
  for (let k = 1; k <= LONGEST_DRYING_HOURS; k++) {
    const code = wet[from + k];
    if (code === undefined || code === 255) return null;
    if (code === 0) return endsAfterHours >= k - 1 && endsAfterHours <= k + CLEARS_WITHIN_HOURS;
  }
  return null;
}

function hoursSinceRain(onset: number, input: CorrelateInput): number | null {
  const series = input.weather?.series;
  if (!series) return null;
  const i = Math.ceil(onset / HOUR_MS) - series.firstHour;
  for (let back = 0; back <= RAIN_MEMORY_HOURS; back++) {
    const fell = series.precipitationMm[i - back];
    if (fell === undefined || Number.isNaN(fell)) return null;
    if (fell > 0) return back;
  }
  return null;
}

function isDawn(onset: number, input: CorrelateInput): boolean {
  const limit = ENERGIZED_ELEVATION_DEG;
  return (
    sunElevationDeg(onset, input.where) > limit - 2 &&
    sunElevationDeg(onset - HOUR_MS, input.where) <= limit &&
    sunElevationDeg(onset + HOUR_MS, input.where) > sunElevationDeg(onset, input.where)
  );
}
