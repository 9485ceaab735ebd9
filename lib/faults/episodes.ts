import type { LatLon } from "../core/earth.ts";
import type { Instant } from "../core/records.ts";
import { sunDownWithin } from "../weather/solar-time.ts";
import type { Episode, Unit } from "./episode.ts";
import { type EventSpan, GROUND_FAULT } from "./fault-spans.ts";
import { type PowerLoss, powerLostNear } from "./power-loss.ts";

export const DEFAULT_GAP_MS = 3 * 3_600_000;
/** An end this close to nightfall or to loss of power was not brought by drying. */
const CENSOR_MS = 30 * 60_000;

/** An episode of one inverter, before units are considered. */
export interface InverterEpisode {
  inverterId: string;
  start: Instant;
  /** Running latest logged end, at least the start. */
  end: Instant;
  /** Its last row has no end. */
  endUnknown: boolean;
  /** Latest reset logged with it. */
  resetAt: Instant | null;
  rows: number;
  resetBy: EventSpan["resetBy"];
  closedAs: EventSpan["closedAs"];
}

/**
 * Ground-fault spans of each inverter merged while the next start is at most `gapMs` after the running latest end.
 * A span without an end reaches as far as its start.
 * @returns sorted by start
 * @throws RangeError when the gap is negative
 */
export function inverterEpisodes(spans: readonly EventSpan[], gapMs: number = DEFAULT_GAP_MS): InverterEpisode[] {
  if (!(gapMs >= 0)) throw new RangeError(`inverterEpisodes requires a gap of 0 or more, got ${gapMs}`);
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
      running.resetAt = later(running.resetAt, span.resetAt);
      running.resetBy = span.resetBy ?? running.resetBy;
      running.closedAs = span.closedAs ?? running.closedAs;
      continue;
    }
    const { inverterId, start, resetAt, resetBy, closedAs } = span;
    const made = { inverterId, start, end, endUnknown: span.end === null, resetAt, rows: 1, resetBy, closedAs };
    current.set(inverterId, made);
    out.push(made);
  }
  return out;
}

function later(a: Instant | null, b: Instant | null): Instant | null {
  return a === null ? b : b === null ? a : Math.max(a, b);
}

/** An episode of a unit with what the hours at risk need of it and the outside does not. */
export interface UnitEpisode {
  episode: Episode;
  /** Latest instant at which it is known to have been open, or latched: end, last row or reset, whichever is last. */
  openUntil: Instant;
}

/**
 * Episodes of units: inverter episodes of one unit that overlap are one.
 * @param losses losses of power by inverter, for censoring ends
 * @returns sorted by onset; episodes of inverters that belong to no unit are left out
 */
export function unitEpisodes(
  episodes: readonly InverterEpisode[],
  units: readonly Unit[],
  where: LatLon,
  losses: ReadonlyMap<string, readonly PowerLoss[]>,
): UnitEpisode[] {
  const unitOf = new Map(units.flatMap((u) => u.inverterIds.map((id) => [id, u.unitId] as const)));
  const byUnit = new Map<string, InverterEpisode[]>();
  for (const e of episodes) {
    const unit = unitOf.get(e.inverterId);
    if (unit === undefined) continue;
    const list = byUnit.get(unit);
    if (list) list.push(e);
    else byUnit.set(unit, [e]);
  }
  const out: UnitEpisode[] = [];
  for (const [unitId, list] of byUnit) {
    for (const group of overlapping(list)) out.push(episodeOf(unitId, group, where, losses));
  }
  return out.sort((a, b) => a.episode.onset - b.episode.onset || (a.episode.unitId < b.episode.unitId ? -1 : 1));
}

function overlapping(list: InverterEpisode[]): InverterEpisode[][] {
  const groups: InverterEpisode[][] = [];
  let group: InverterEpisode[] = [];
  let until = Number.NEGATIVE_INFINITY;
  for (const e of [...list].sort((a, b) => a.start - b.start)) {
    if (group.length === 0 || e.start > until) {
      group = [];
      groups.push(group);
      until = e.end;
    }
    group.push(e);
    until = Math.max(until, e.end);
  }
  return groups;
}

function episodeOf(
  unitId: string,
  group: InverterEpisode[],
  where: LatLon,
  losses: ReadonlyMap<string, readonly PowerLoss[]>,
): UnitEpisode {
  const end = group.reduce((latest, e) => Math.max(latest, e.end), Number.NEGATIVE_INFINITY);
  const endUnknown = group.some((e) => e.endUnknown && e.end === end);
  const resetAt = group.reduce<Instant | null>((latest, e) => later(latest, e.resetAt), null);
  const lost = group.some((e) => powerLostNear(losses.get(e.inverterId), e.start, end, CENSOR_MS));
  const byEnd = [...group].sort((a, b) => b.end - a.end);
  const censored = endUnknown
    ? "end_unknown"
    : lost
      ? "power_loss"
      : sunDownWithin(end, where, CENSOR_MS)
        ? "nightfall"
        : null;
  const episode: Episode = {
    unitId,
    inverterIds: [...new Set(group.map((e) => e.inverterId))].sort(),
    onset: (group[0] as InverterEpisode).start,
    end: endUnknown ? null : end,
    rows: group.reduce((sum, e) => sum + e.rows, 0),
    censored,
    resetBy: byEnd.map((e) => e.resetBy).find((r) => r !== null) ?? null,
    closedAs: byEnd.map((e) => e.closedAs).find((c) => c !== null) ?? null,
  };
  return { episode, openUntil: later(end, resetAt) as Instant };
}
