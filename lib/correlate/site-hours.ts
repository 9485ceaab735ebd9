import type { FaultRow, Instant, Inverter, IsolationSpan, TelemetrySpan } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { instantFromWall } from "../core/zoned-time.ts";
import type { Unit } from "../faults/episode.ts";
import type { InverterEpisode, UnitEpisode } from "../faults/episodes.ts";
import { type EventSpan, STOP_EVENTS } from "../faults/fault-spans.ts";
import type { GridOutage } from "../faults/power-loss.ts";
import type { CorrelateInput, HourFrame } from "./hour-frame.ts";
import { type HourRooms, NEW_ROOMS } from "./hour-rooms.ts";
import { type HourTally, hourTally } from "./hour-tally.ts";
import {
  EXCLUSIONS,
  type Exclusion,
  type InverterHours,
  inverterHours,
  takeOut,
  type UnitHours,
  unitHours,
  usableHours,
} from "./hours-at-risk.ts";

/** Bounds what a wild timestamp can ask for. */
const LONGEST_HOURS = 30 * 366 * 24;

export interface PastRecords {
  faults: FaultRow[];
  telemetry: TelemetrySpan[];
  isolations: IsolationSpan[];
}

/** What was known at the instant of the score: later rows are gone, and so is what later came to be known of old ones. */
export function pastRecords({ records, asOf }: CorrelateInput): PastRecords {
  return {
    faults: records.faults.flatMap((f) => {
      if (f.startedAt > asOf) return [];
      const endedAt = f.endedAt !== null && f.endedAt <= asOf ? f.endedAt : null;
      const resetAt = f.resetAt !== null && f.resetAt <= asOf ? f.resetAt : null;
      return endedAt === f.endedAt && resetAt === f.resetAt ? [f] : [{ ...f, endedAt, resetAt }];
    }),
    telemetry: records.telemetry
      .filter((t) => t.startedAt <= asOf)
      .map((t) => (t.endedAt > asOf ? { ...t, endedAt: asOf } : t))
      .sort((a, b) => a.startedAt - b.startedAt),
    isolations: (records.isolations ?? [])
      .filter((i) => i.from <= asOf)
      .map((i) => ({ from: i.from, to: i.to !== null && i.to <= asOf ? i.to : null })),
  };
}

/** First to last instant that could hold an hour at risk; null when nothing could. */
export function siteWindow(input: CorrelateInput, past: PastRecords): { from: Instant; to: Instant } | null {
  let from = Number.POSITIVE_INFINITY;
  let to = Number.NEGATIVE_INFINITY;
  const withTelemetry = new Set(past.telemetry.map((t) => t.inverterId));
  for (const t of past.telemetry) {
    from = Math.min(from, t.startedAt);
    to = Math.max(to, t.endedAt);
  }
  for (const inverter of input.records.inverters) {
    const log = input.logWindows.get(inverter.inverterId);
    if (!log || log.from > input.asOf || withTelemetry.has(inverter.inverterId)) continue;
    from = Math.min(from, log.from);
    to = Math.max(to, Math.min(log.to, input.asOf));
  }
  if (!(from <= to)) return null;
  return { from: Math.max(from, to - LONGEST_HOURS * HOUR_MS), to };
}

export interface SiteHours {
  units: UnitHours[];
  /** 1 where an hour is lit, its weather known and some inverter able to trip, whether or not an episode was open. */
  comparable: Uint8Array;
  /** Units at risk an hour. */
  exposure: Uint16Array;
  /** Those units at risk, summed. */
  tally: HourTally;
  excluded: Record<Exclusion, number>;
  /** Inverters taken to report over the span of their log. */
  assumed: string[];
}

/** Hours at risk of every unit of a site. */
export function siteHours(
  input: CorrelateInput,
  past: PastRecords,
  frame: HourFrame,
  log: {
    units: readonly Unit[];
    spans: readonly EventSpan[];
    perInverter: readonly InverterEpisode[];
    episodes: readonly UnitEpisode[];
    outages: readonly GridOutage[];
    gapMs: number;
  },
  rooms: HourRooms = NEW_ROOMS,
): SiteHours {
  const excluded = Object.fromEntries(EXCLUSIONS.map((e) => [e, 0])) as Record<Exclusion, number>;
  const usable = usableHours(frame.lit, outageHours(log.outages, frame), frame.known, rooms);
  const assumed: string[] = [];
  const byInverter = new Map<string, InverterHours>();
  for (const inverter of input.records.inverters) {
    const telemetry = past.telemetry.filter((t) => t.inverterId === inverter.inverterId);
    if (telemetry.length === 0) assumed.push(inverter.inverterId);
    const own = oneInverter(input, inverter, telemetry, frame, { ...log, rooms });
    for (const { from, to } of past.isolations)
      takeOut(own, from, to ?? Number.POSITIVE_INFINITY, frame.firstHour, "isolated");
    byInverter.set(inverter.inverterId, own);
  }
  const comparable = rooms.bytes(frame.hours);
  const exposure = rooms.words(frame.hours);
  const units = log.units.map((unit) =>
    unitHours({
      unit,
      inverters: unit.inverterIds.flatMap((id) => byInverter.get(id) ?? []),
      usable,
      spans: log.episodes
        .filter((e) => e.episode.unitId === unit.unitId)
        .map((e) => ({ onset: e.episode.onset, openUntil: e.openUntil })),
      gapMs: log.gapMs,
      firstHour: frame.firstHour,
      ...{ excluded, comparable, exposure, rooms },
    }),
  );
  return { units, comparable, exposure, tally: hourTally(frame, exposure), excluded, assumed };
}

function oneInverter(
  input: CorrelateInput,
  inverter: Inverter,
  telemetry: readonly TelemetrySpan[],
  frame: HourFrame,
  log: { spans: readonly EventSpan[]; perInverter: readonly InverterEpisode[]; gapMs: number; rooms: HourRooms },
): InverterHours {
  const id = inverter.inverterId;
  const { firstHour, hours } = frame;
  const own = inverterHours(
    telemetry,
    input.logWindows.get(id),
    commissionedAt(inverter, input.records.site),
    firstHour,
    hours,
    log.rooms,
  );
  const spans = log.spans.filter((s) => s.inverterId === id);
  const ranAgain = lifeAfter(input, id, spans, telemetry, log.gapMs);
  for (const s of spans) {
    if (!STOP_EVENTS.has(s.event)) continue;
    if (s.end === null) takeOut(own, s.start, s.resetAt ?? ranAgain(s.start), firstHour, "end_unknown");
    else takeOut(own, s.start, s.end, firstHour, "power_event");
  }
  for (const e of log.perInverter) {
    if (e.inverterId !== id || !e.endUnknown) continue;
    const reset = e.resetAt !== null && e.resetAt >= e.end ? e.resetAt : ranAgain(e.end);
    takeOut(own, e.end, reset, firstHour, "end_unknown");
  }
  return own;
}

/** Midnight at the site of the day on which the inverter, or failing that the site, was commissioned. */
function commissionedAt(inverter: Inverter, site: { commissionedOn: string | null; timeZone: string }): Instant | null {
  const day = inverter.commissionedOn ?? site.commissionedOn;
  return day === null ? null : instantFromWall(Date.parse(day), site.timeZone).at;
}

/**
 * The first sign after an instant that an inverter ran again: a row of its log more than the gap later (what it logs at
 * once is the trip, not life), a span of telemetry that begins, one of running that goes on, or AC power.
 * @returns a function of the instant; Infinity when there is no sign
 */
function lifeAfter(
  input: CorrelateInput,
  id: string,
  spans: readonly EventSpan[],
  telemetry: readonly TelemetrySpan[],
  gapMs: number,
): (at: Instant) => Instant {
  const able = telemetry.filter((t) => t.state === "running" || t.state === "reporting");
  const power = input.records.readings
    .filter((r) => r.inverterId === id && (r.acPowerKw ?? 0) > 0 && r.observedAt <= input.asOf)
    .map((r) => r.observedAt)
    .sort((a, b) => a - b);
  return (at) => {
    let first = spans.find((s) => s.start > at + gapMs)?.start ?? Number.POSITIVE_INFINITY;
    first = Math.min(first, able.find((t) => t.startedAt > at)?.startedAt ?? first);
    first = Math.min(first, power.find((p) => p > at) ?? first);
    const goesOn = able.some((t) => t.state === "running" && t.startedAt <= at && t.endedAt > at + gapMs);
    return goesOn ? Math.min(first, at + gapMs) : first;
  };
}

/** Hours touched by an outage of the whole site: from its start to its end, the first alone where none is logged. */
function outageHours(outages: readonly GridOutage[], frame: HourFrame): Uint8Array | null {
  if (outages.length === 0) return null;
  const out = new Uint8Array(frame.hours);
  for (const o of outages) {
    const from = Math.max(0, Math.ceil(o.start / HOUR_MS) - frame.firstHour);
    const to = Math.min(frame.hours, Math.ceil((o.end ?? o.start) / HOUR_MS) - frame.firstHour + 1);
    if (to > from) out.fill(1, from, to);
  }
  return out;
}
