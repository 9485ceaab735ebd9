import type { Inspection } from "../core/records.ts";

/** Where a row was taken: its two points in either order; without points, its section and inverter. */
export function placeOfReading(row: Inspection): string {
  if (row.pointA !== null || row.pointB !== null)
    return ["points", ...[row.pointA ?? "", row.pointB ?? ""].sort()].join("\n");
  return ["place", row.sectionId ?? "", row.inverterId ?? ""].join("\n");
}

/** Whether two rows were taken between the same two points, in either order; without points, at the same place. */
export function samePoints(a: Inspection, b: Inspection): boolean {
  return a.siteId === b.siteId && placeOfReading(a) === placeOfReading(b);
}

/**
 * The largest voltage that was read between the same points on the same local day before a resistance reading. Where
 * only the day of one is known the day is enough.
 * @returns V, at least 0; null when nobody read a voltage there first
 */
export function voltageFirst(reading: Inspection, others: readonly Inspection[]): number | null {
  let largest: number | null = null;
  for (const other of others) {
    if (other === reading || other.unit !== "volt" || other.value === null || !samePoints(other, reading)) continue;
    if (other.inspectedAt.day !== reading.inspectedAt.day) continue;
    const timed = !other.inspectedAt.dayOnly && !reading.inspectedAt.dayOnly;
    if (timed && other.inspectedAt.at > reading.inspectedAt.at) continue;
    const volts = Math.abs(Number(other.value));
    if (Number.isFinite(volts)) largest = Math.max(largest ?? 0, volts);
  }
  return largest;
}
