import type { LatLon } from "../core/earth.ts";
import type { Instant } from "../core/records.ts";
import { sunDownWithin } from "../weather/solar-time.ts";
import type { Episode, Unit } from "./episode.ts";
import { type EventSpan, GROUND_FAULT, POWER_EVENTS } from "./fault-spans.ts";

export const DEFAULT_GAP_MS = 3 * 3_600_000;
/** An end this close to nightfall or to loss of power was not brought by drying. */
const CENSOR_MS = 30 * 60_000;

/** An episode of one inverter, before units are considered. */
export interface InverterEpisode {
  inverterId: string;
  start: Instant;
  /** Running latest logged end, at least the start. */
  end: Instant;
  /** Some row of it has no end, and no later row gives one. */
  endUnknown: boolean;
  rows: number;
  resetBy: EventSpan["resetBy"];
  closedAs: EventSpan["closedAs"];
}

/**
 * Ground-fault spans of each inverter merged while the next start is at most `gapMs` after the running latest end.
 * A span without an end reaches as far as its start; the next row of that inverter shows that it ran again.
 */
export function inverterEpisodes(spans: readonly EventSpan[], gapMs: number = DEFAULT_GAP_MS): InverterEpisode[] {
  const out: InverterEpisode[] = [];
  const current = new Map<string, InverterEpisode>();
  const own = spans
    .filter((s) => s.event === GROUND_FAULT)
    .sort((a, b) => a.start - b.start || (a.inverterId < b.inverterId ? -1 : 1));
  for (const span of own) {
    const running = current.get(span.inverterId);
    const end = span.end ?? span.start;
    if (running && span.start - running.end <= gapMs) {
      if (end >= running.end) {
        running.endUnknown = span.end === null;
        running.end = end;
      }
      running.rows++;
      running.resetBy = span.resetBy ?? running.resetBy;
      running.closedAs = span.closedAs ?? running.closedAs;
      continue;
    }
    const { inverterId, start, resetBy, closedAs } = span;
    const made = { inverterId, start, end, endUnknown: span.end === null, rows: 1, resetBy, closedAs };
    current.set(inverterId, made);
    out.push(made);
  }
  return out;
}

/**
 * Episodes of units: inverter episodes of one unit that overlap are one.
 * @param powerLoss starts of grid or AC loss by inverter, for censoring ends; sorted
 */
export function unitEpisodes(
  episodes: readonly InverterEpisode[],
  units: readonly Unit[],
  where: LatLon,
  powerLoss: ReadonlyMap<string, readonly Instant[]>,
): Episode[] {
  const unitOf = new Map(units.flatMap((u) => u.inverterIds.map((id) => [id, u.unitId] as const)));
  const byUnit = new Map<string, InverterEpisode[]>();
  for (const e of episodes) {
    const unit = unitOf.get(e.inverterId);
    if (unit === undefined) continue;
    const list = byUnit.get(unit);
    if (list) list.push(e);
    else byUnit.set(unit, [e]);
  }
  const out: Episode[] = [];
  for (const [unitId, list] of byUnit) {
    list.sort((a, b) => a.start - b.start);
    let group: InverterEpisode[] = [];
    let until = Number.NEGATIVE_INFINITY;
    const close = () => {
      if (group.length > 0) out.push(episodeOf(unitId, group, where, powerLoss));
    };
    for (const e of list) {
      if (e.start > until) {
        close();
        group = [];
        until = Number.NEGATIVE_INFINITY;
      }
      group.push(e);
      until = Math.max(until, e.end);
    }
    close();
  }
  return out.sort((a, b) => a.onset - b.onset || (a.unitId < b.unitId ? -1 : 1));
}

function episodeOf(
  unitId: string,
  group: InverterEpisode[],
  where: LatLon,
  powerLoss: ReadonlyMap<string, readonly Instant[]>,
): Episode {
  const end = Math.max(...group.map((e) => e.end));
  const endUnknown = group.some((e) => e.endUnknown && e.end === end);
  const lost = group.some((e) => (powerLoss.get(e.inverterId) ?? []).some((at) => Math.abs(at - end) <= CENSOR_MS));
  const censored = endUnknown
    ? "end_unknown"
    : lost
      ? "power_loss"
      : sunDownWithin(end, where, CENSOR_MS)
        ? "nightfall"
        : null;
  return {
    unitId,
    inverterIds: [...new Set(group.map((e) => e.inverterId))].sort(),
    onset: (group[0] as InverterEpisode).start,
    end: endUnknown ? null : end,
    rows: group.reduce((sum, e) => sum + e.rows, 0),
    censored,
    resetBy: group.map((e) => e.resetBy).find((r) => r !== null) ?? null,
    closedAs: group.map((e) => e.closedAs).find((c) => c !== null) ?? null,
  };
}

/** Starts of grid or AC loss by inverter, sorted. */
export function powerLosses(spans: readonly EventSpan[]): Map<string, Instant[]> {
  const out = new Map<string, Instant[]>();
  for (const span of spans) {
    if (!POWER_EVENTS.has(span.event)) continue;
    const list = out.get(span.inverterId);
    if (list) list.push(span.start);
    else out.set(span.inverterId, [span.start]);
  }
  for (const list of out.values()) list.sort((a, b) => a - b);
  return out;
}

/**
 * Power events that began within the same minute on every inverter of a site of two or more: the grid's doing, not a
 * defect of the site.
 * @returns their starts, sorted
 */
export function gridOutages(spans: readonly EventSpan[], inverterIds: readonly string[]): Instant[] {
  if (inverterIds.length < 2) return [];
  const minutes = new Map<number, Set<string>>();
  for (const span of spans) {
    if (!POWER_EVENTS.has(span.event)) continue;
    const minute = Math.floor(span.start / 60_000);
    const set = minutes.get(minute) ?? new Set();
    minutes.set(minute, set.add(span.inverterId));
  }
  return [...minutes]
    .filter(([, set]) => set.size === inverterIds.length)
    .map(([minute]) => minute * 60_000)
    .sort((a, b) => a - b);
}
