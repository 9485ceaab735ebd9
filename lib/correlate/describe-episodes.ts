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

/**
 * Hour that each onset counts in, as a place in the frame; -1 outside it. The array may wake inside an hour whose
 * middle is still dark (or sleep in one whose middle is already): such an onset counts in the neighbouring lit hour.
 */
export function onsetHours(episodes: readonly Episode[], frame: HourFrame, input: CorrelateInput): Int32Array {
  return Int32Array.from(episodes, ({ onset }) => {
    const i = Math.ceil(onset / HOUR_MS) - frame.firstHour;
    if (i < 0 || i >= frame.hours) return -1;
    if (frame.lit[i] || sunElevationDeg(onset, input.where) <= ENERGIZED_ELEVATION_DEG) return i;
    if (frame.lit[i + 1]) return i + 1;
    return i > 0 && frame.lit[i - 1] ? i - 1 : i;
  });
}

/** Each episode with the weather it began in. Without a frame (no log window) nothing is at risk. */
export function describeEpisodes(
  episodes: readonly Episode[],
  at: { frame: HourFrame; hours: readonly UnitHours[]; onsetHour: Int32Array } | null,
  input: CorrelateInput,
): EpisodeInWeather[] {
  const unitOf = new Map(at?.hours.map((h) => [h.unit.unitId, h]));
  const wetness = input.weather?.wetness;
  return episodes.map((e, k) => {
    const i = at?.onsetHour[k] ?? -1;
    const hour = i >= 0 && at ? at.frame.firstHour + i : Math.ceil(e.onset / HOUR_MS);
    const w = wetness ? hour - wetness.firstHour : -1;
    return {
      ...e,
      state: WEATHER_STATES[wetness?.state[w] ?? 0] ?? "unknown",
      atRisk: i >= 0 && unitOf.get(e.unitId)?.atRisk[i] === 1,
      clearedOnDrying: wetness ? clearedOnDrying(e, wetness.wet, w) : null,
      hoursSinceRain: hoursSinceRain(e.onset, input),
      atDawn: isDawn(e.onset, input),
    };
  });
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

/** Between sunrise and an hour after the sun rose high enough to wake the array. */
function isDawn(onset: number, input: CorrelateInput): boolean {
  const limit = ENERGIZED_ELEVATION_DEG;
  const now = sunElevationDeg(onset, input.where);
  return (
    now > limit - 2 &&
    sunElevationDeg(onset - HOUR_MS, input.where) <= limit &&
    sunElevationDeg(onset + HOUR_MS, input.where) > now
  );
}
