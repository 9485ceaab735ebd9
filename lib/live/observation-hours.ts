import { HOUR_MS, type HourIndex, hourOf } from "../core/weather-series.ts";
import { HourFold, type Met, meet } from "../weather/formats/hour-fold.ts";
import type { StationReport } from "./provider.ts";

/**
 * The hours that reports tell of, as rows of weather.csv: one row for each hour that has a report, none for the others.
 * The order of the reports and their repetition do not matter; of several versions of one report the corrected one,
 * else the one that knows more, counts.
 * @param span hours to keep: after `from`, up to and with `to`; reports of others are left out and counted
 */
export function observationHours(
  reports: readonly StationReport[],
  span: { from: HourIndex; to: HourIndex },
  met: Met,
): string[][] {
  const inside = reports.filter((r) => hourOf(r.at) > span.from && hourOf(r.at) <= span.to);
  const outside = reports.length - inside.length;
  if (outside > 0) met.set(OUTSIDE, (met.get(OUTSIDE) ?? 0) + outside);
  const newest = new Map<number, StationReport>();
  for (const report of inside) {
    const before = newest.get(report.at);
    if (before) meet(met, "reports given more than once");
    if (!before || betterThan(report, before)) newest.set(report.at, report);
  }
  const fold = new HourFold(met);
  const rows = new Map<HourIndex, string[]>();
  for (const report of [...newest.values()].sort((a, b) => a.at - b.at)) rows.set(hourOf(report.at), fold.add(report));
  return [...rows.values()];
}

const OUTSIDE = "reports of other hours than asked for, left out";

function betterThan(a: StationReport, b: StationReport): boolean {
  if (a.corrected !== b.corrected) return a.corrected;
  const known = (r: StationReport) => Object.values(r).filter((value) => value !== null).length;
  if (known(a) !== known(b)) return known(a) > known(b);
  // Two versions that differ and say as much: which one counts must not hang on their order.
  return JSON.stringify(a) > JSON.stringify(b);
}

/** Bounds of a span of hours as instants. */
export const spanInstants = (span: { from: HourIndex; to: HourIndex }) => ({
  from: span.from * HOUR_MS,
  to: span.to * HOUR_MS,
});
