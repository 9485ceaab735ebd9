import type { Instant, SiteRecords } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { type ClockReading, clockAheadHours } from "./clock-offset.ts";

/** A correction that a person accepted for the clock of one log source. */
export interface ClockCorrection extends ClockReading {
  /** Hours beside it that the sun alone left open when it was proposed. */
  scanHours: number[];
  acceptedBy: string;
  acceptedAt: Instant;
}

type LogWindows = ReadonlyMap<string, { from: Instant; to: Instant }>;

/** Log source by which an inverter's clock is known: its own name for it, or the site's log. */
export function clockSource(siteId: string, logSource: string | null): string {
  return logSource === null ? `site/${siteId}` : `log/${logSource}`;
}

/**
 * Records and log windows in true time: whatever a corrected source stamped is moved by what its clock ran ahead.
 * Inspections, repairs and visits carry people's time and stay.
 * @param corrections by `clockSource`
 * @returns the records as they were when no correction concerns the site; inputs are not mutated
 */
export function correctClock(
  records: SiteRecords,
  logWindows: LogWindows,
  corrections: ReadonlyMap<string, ClockReading>,
): { records: SiteRecords; logWindows: LogWindows; isCorrected: boolean } {
  const { site } = records;
  const byInverter = new Map<string, ClockReading>();
  for (const i of records.inverters) {
    const own = corrections.get(clockSource(site.siteId, i.logSource));
    if (own) byInverter.set(i.inverterId, own);
  }
  if (byInverter.size === 0) return { records, logWindows, isCorrected: false };
  const trueTime = (inverterId: string, at: Instant): Instant => {
    const reading = byInverter.get(inverterId);
    return reading ? at - clockAheadHours(reading, at, site.timeZone) * HOUR_MS : at;
  };
  const orNull = (inverterId: string, at: Instant | null) => (at === null ? null : trueTime(inverterId, at));
  return {
    isCorrected: true,
    records: {
      ...records,
      faults: records.faults.map((f) => ({
        ...f,
        startedAt: trueTime(f.inverterId, f.startedAt),
        endedAt: orNull(f.inverterId, f.endedAt),
        resetAt: orNull(f.inverterId, f.resetAt),
      })),
      telemetry: records.telemetry.map((t) => ({
        ...t,
        startedAt: trueTime(t.inverterId, t.startedAt),
        endedAt: trueTime(t.inverterId, t.endedAt),
      })),
      readings: records.readings.map((r) => ({ ...r, observedAt: trueTime(r.inverterId, r.observedAt) })),
    },
    logWindows: new Map(
      [...logWindows].map(([id, w]) => [id, { from: trueTime(id, w.from), to: trueTime(id, w.to) }] as const),
    ),
  };
}
