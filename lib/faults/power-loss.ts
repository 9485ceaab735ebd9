import type { Instant, IsolationSpan, TelemetrySpan } from "../core/records.ts";
import { type EventSpan, POWER_EVENTS } from "./fault-spans.ts";

/** Inverters seldom stamp the same outage in the same second. */
const SAME_MINUTE_MS = 60_000;
/** An AC disconnection this soon after a ground fault is the trip itself. */
const TRIP_MS = 5 * 60_000;
const LOSS_STATES: ReadonlySet<string> = new Set(["silent", "off_grid", "off_manual", "isolated"]);

/** A time when the grid was lost to the whole site. */
export interface GridOutage {
  start: Instant;
  /** Latest logged end; null: none is logged. */
  end: Instant | null;
}

/**
 * Power events that began within a minute of each other on every inverter of a site of two or more: the grid's doing,
 * not a defect of the site.
 * @returns sorted by start
 */
export function gridOutages(spans: readonly EventSpan[], inverterIds: readonly string[]): GridOutage[] {
  const all = new Set(inverterIds);
  if (all.size < 2) return [];
  const power = spans
    .filter((s) => POWER_EVENTS.has(s.event) && all.has(s.inverterId))
    .sort((a, b) => a.start - b.start);
  const out: GridOutage[] = [];
  for (let i = 0; i < power.length; ) {
    const start = (power[i] as EventSpan).start;
    let j = i;
    const seen = new Set<string>();
    let end: Instant | null = null;
    while (j < power.length && (power[j] as EventSpan).start < start + SAME_MINUTE_MS) {
      const span = power[j] as EventSpan;
      seen.add(span.inverterId);
      if (span.end !== null) end = Math.max(end ?? span.end, span.end);
      j++;
    }
    if (seen.size === all.size) {
      out.push({ start, end });
      i = j;
    } else i++;
  }
  return out;
}

/** When power or contact was lost to an inverter. */
export interface PowerLoss {
  at: Instant;
  siteWide: boolean;
}

/**
 * Losses of grid, AC side or contact by inverter, from its log, its telemetry and the lock-outs of its site.
 * @returns by inverter, sorted
 */
export function powerLosses(
  spans: readonly EventSpan[],
  telemetry: readonly TelemetrySpan[],
  outages: readonly GridOutage[],
  isolated: { spans: readonly IsolationSpan[]; inverterIds: readonly string[] } = { spans: [], inverterIds: [] },
): Map<string, PowerLoss[]> {
  const out = new Map<string, PowerLoss[]>();
  const add = (id: string, at: Instant) => {
    const siteWide = outages.some((o) => at >= o.start && at < o.start + SAME_MINUTE_MS);
    const list = out.get(id);
    if (list) list.push({ at, siteWide });
    else out.set(id, [{ at, siteWide }]);
  };
  for (const span of spans) if (POWER_EVENTS.has(span.event)) add(span.inverterId, span.start);
  for (const span of telemetry) if (LOSS_STATES.has(span.state)) add(span.inverterId, span.startedAt);
  for (const { from } of isolated.spans) for (const id of isolated.inverterIds) add(id, from);
  for (const list of out.values()) list.sort((a, b) => a.at - b.at);
  return out;
}

/**
 * Whether power was lost within `ms` of an end. What an inverter logs of its own AC side at the moment of its ground
 * fault is the trip, not a loss, unless the whole site saw it.
 */
export function powerLostNear(
  losses: readonly PowerLoss[] | undefined,
  onset: Instant,
  end: Instant,
  ms: number,
): boolean {
  return (losses ?? []).some(({ at, siteWide }) => {
    const isTrip = !siteWide && at >= onset - SAME_MINUTE_MS && at <= onset + TRIP_MS;
    return Math.abs(at - end) <= ms && !isTrip;
  });
}
