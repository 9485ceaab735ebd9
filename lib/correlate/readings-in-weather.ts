import type { Instant, SiteRecords } from "../core/records.ts";
import { sampleQuantile } from "../core/statistics.ts";
import { HOUR_MS, hourOf } from "../core/weather-series.ts";

/** What one inverter reports of its array, wet against dry and over time. Null: too few readings to say. */
export interface ReadingsInWeather {
  inverterId: string;
  /** Newest reading used. */
  at: Instant;
  wetReadings: number;
  dryReadings: number;
  /** Middle insulation in wet hours over that in dry hours; 1: water changes nothing. */
  insulationWetToDry: number | null;
  /** Insulation in wet hours at the end of the log over that at its begin, along the middle slope; 1: no change. */
  insulationWetChange: number | null;
  /** Time that the change is seen over, days. */
  changeDays: number;
  /** Middle residual current in wet hours over that in dry hours. */
  residualWetToDry: number | null;
}

/** Fewer readings on either side compare nothing. */
const FEWEST = 12;
/** A slope over less than this is weather, not a trend. */
const FEWEST_DAYS = 120;
/** More wet readings than this add nothing to a middle slope and cost their square. */
const MOST_FOR_SLOPE = 240;

interface Hours {
  firstHour: number;
  /** 1 wet, 0 dry, 255 unknown. */
  wet: Uint8Array;
}

/**
 * Insulation and residual current as each inverter reports them, set against whether the array was wet. Readings in
 * hours of unknown weather, or outside the log's window, are not used.
 * @shape O(readings + wet readings squared, bounded)
 */
export function readingsInWeather(records: SiteRecords, hours: Hours, asOf: Instant): ReadingsInWeather[] {
  const byInverter = new Map<string, { at: Instant; wet: boolean; kohm: number | null; ma: number | null }[]>();
  for (const r of records.readings) {
    const code = hours.wet[hourOf(r.observedAt) - hours.firstHour];
    if (r.observedAt > asOf || code === undefined || code === 255) continue;
    const list = byInverter.get(r.inverterId) ?? [];
    list.push({ at: r.observedAt, wet: code === 1, kohm: r.insulationKohm, ma: r.residualCurrentMa });
    byInverter.set(r.inverterId, list);
  }
  return [...byInverter].map(([inverterId, list]) => {
    const values = (wet: boolean, of: "kohm" | "ma") =>
      list.flatMap((r) => (r.wet === wet && r[of] !== null && (r[of] as number) > 0 ? [r[of] as number] : []));
    const change = wetChange(
      list.flatMap((r) => (r.wet && (r.kohm ?? 0) > 0 ? [{ at: r.at, kohm: r.kohm as number }] : [])),
    );
    return {
      inverterId,
      at: list.reduce((latest, r) => Math.max(latest, r.at), Number.NEGATIVE_INFINITY),
      wetReadings: list.filter((r) => r.wet).length,
      dryReadings: list.filter((r) => !r.wet).length,
      insulationWetToDry: middleRatio(values(true, "kohm"), values(false, "kohm")),
      insulationWetChange: change?.ratio ?? null,
      changeDays: change?.days ?? 0,
      residualWetToDry: middleRatio(values(true, "ma"), values(false, "ma")),
    };
  });
}

function middleRatio(wet: number[], dry: number[]): number | null {
  if (wet.length < FEWEST || dry.length < FEWEST) return null;
  return sampleQuantile(wet, 0.5) / sampleQuantile(dry, 0.5);
}

/**
 * Middle of the slopes of all pairs (Theil 1950, Sen 1968, Journal of the American Statistical Association 63,
 * 1379-1389; from memory) of log insulation: one bad reading, or one wet month, moves it little.
 */
function wetChange(readings: { at: Instant; kohm: number }[]): { ratio: number; days: number } | null {
  const sorted = [...readings].sort((a, b) => a.at - b.at || a.kohm - b.kohm);
  const step = Math.max(1, Math.ceil(sorted.length / MOST_FOR_SLOPE));
  const used = sorted.filter((_, i) => i % step === 0);
  const first = used[0];
  const last = used.at(-1);
  if (!first || !last || used.length < FEWEST) return null;
  const days = (last.at - first.at) / (24 * HOUR_MS);
  if (days < FEWEST_DAYS) return null;
  const slopes: number[] = [];
  for (let i = 0; i < used.length; i++) {
    for (let j = i + 1; j < used.length; j++) {
      const a = used[i] as { at: number; kohm: number };
      const b = used[j] as { at: number; kohm: number };
      // Readings of one wet spell are one witness.
      if (b.at - a.at > 7 * 24 * HOUR_MS) slopes.push(Math.log(b.kohm / a.kohm) / (b.at - a.at));
    }
  }
  return slopes.length === 0 ? null : { ratio: Math.exp(sampleQuantile(slopes, 0.5) * (last.at - first.at)), days };
}
