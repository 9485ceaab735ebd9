import type { Instant, Inverter, TelemetrySpan } from "../core/records.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import type { Unit } from "../faults/episode.ts";
import type { InverterEpisode } from "../faults/episodes.ts";

/** Whether an inverter reported and could trip, an hour: 1 yes, 0 no or not known. */
export type Reporting = Uint8Array;

/** Why unit-hours were left out. */
export const EXCLUSIONS = [
  "night",
  "not_reporting",
  "weather_unknown",
  "episode_open",
  "grid_outage",
  "end_unknown",
] as const;
export type Exclusion = (typeof EXCLUSIONS)[number];

/** One inverter's hours as its telemetry, or failing that its log, tells them. */
export interface ReportingHours {
  hours: Reporting;
  /** Taken from the span of its log, because no telemetry tells. */
  assumed: boolean;
}

const ABLE = new Set(["reporting", "running"]);

/**
 * Hours in which an inverter reported and was able to trip. With telemetry only its reporting and running spans count,
 * and what no span covers is not known. Without, it is taken to report over the window of its log, from commissioning.
 * An hour counts when any of it is covered.
 */
export function reportingHours(
  inverter: Inverter,
  telemetry: readonly TelemetrySpan[],
  logWindow: { from: Instant; to: Instant } | undefined,
  firstHour: HourIndex,
  hours: number,
): ReportingHours {
  const out = new Uint8Array(hours);
  const mark = (from: Instant, to: Instant) => {
    const a = Math.max(0, Math.floor(from / HOUR_MS) + 1 - firstHour);
    const b = Math.min(hours - 1, Math.ceil(to / HOUR_MS) - firstHour);
    for (let i = a; i <= b; i++) out[i] = 1;
  };
  if (telemetry.length > 0) {
    for (const span of telemetry) if (ABLE.has(span.state)) mark(span.startedAt, span.endedAt);
    return { hours: out, assumed: false };
  }
  if (logWindow) {
    const began = inverter.commissionedOn === null ? Number.NEGATIVE_INFINITY : Date.parse(inverter.commissionedOn);
    mark(Math.max(logWindow.from, began), logWindow.to);
  }
  return { hours: out, assumed: true };
}

/**
 * Take out the hours after an episode whose end is not known, until a later row or running telemetry of that inverter
 * shows that it ran again.
 * @param signs instants at which the inverter showed life (later rows, starts of running spans), sorted
 * @returns hours taken out
 */
export function cutUnknownEnds(
  reporting: Reporting,
  episodes: readonly InverterEpisode[],
  signs: readonly Instant[],
  firstHour: HourIndex,
): number {
  let cut = 0;
  for (const e of episodes) {
    if (!e.endUnknown) continue;
    const again = signs.find((at) => at > e.end) ?? Number.POSITIVE_INFINITY;
    const from = Math.floor(e.end / HOUR_MS) + 2 - firstHour; // the hour after the one of the last row
    const to = Math.min(
      reporting.length,
      again === Number.POSITIVE_INFINITY ? reporting.length : Math.ceil(again / HOUR_MS) - firstHour,
    );
    for (let i = Math.max(0, from); i < to; i++) {
      cut += reporting[i] as number;
      reporting[i] = 0;
    }
  }
  return cut;
}

export interface UnitHours {
  unit: Unit;
  /** 1 where the unit is at risk. */
  atRisk: Uint8Array;
}

/**
 * Hours at risk of a unit: lit, weather known, at least one of its inverters able to trip, no episode open and none
 * ended within the gap. A unit is one thing that can trip, so its hours count once however many inverters it has.
 * @param spans episodes of the unit: onset to end (the start where the end is not known)
 */
export function unitHours(input: {
  unit: Unit;
  reporting: ReadonlyMap<string, Reporting>;
  lit: Uint8Array;
  weatherKnown: Uint8Array;
  outage: Uint8Array;
  spans: readonly { onset: Instant; end: Instant }[];
  gapMs: number;
  firstHour: HourIndex;
  excluded: Record<Exclusion, number>;
}): UnitHours {
  const { unit, lit, weatherKnown, outage, excluded, firstHour } = input;
  const hours = lit.length;
  const atRisk = new Uint8Array(hours);
  const own = unit.inverterIds.flatMap((id) => input.reporting.get(id) ?? []);
  for (let i = 0; i < hours; i++) {
    const reason = !own.some((r) => r[i])
      ? "not_reporting"
      : !lit[i]
        ? "night"
        : outage[i]
          ? "grid_outage"
          : !weatherKnown[i]
            ? "weather_unknown"
            : null;
    if (reason === null) atRisk[i] = 1;
    else excluded[reason]++;
  }
  for (const span of input.spans) {
    const from = Math.ceil(span.onset / HOUR_MS) + 1 - firstHour; // the hour of the onset itself was at risk
    const to = Math.floor((span.end + input.gapMs) / HOUR_MS) - firstHour;
    for (let i = Math.max(0, from); i <= Math.min(to, hours - 1); i++) {
      excluded.episode_open += atRisk[i] as number;
      atRisk[i] = 0;
    }
  }
  return { unit, atRisk };
}
