import type { Inspection } from "../core/records.ts";

/** Whether two rows were taken between the same two points, in either order; without points, at the same place. */
export function samePoints(a: Inspection, b: Inspection): boolean {
  const pair = (row: Inspection) => [row.pointA ?? "", row.pointB ?? ""].sort().join("\n");
  if (a.siteId !== b.siteId || pair(a) !== pair(b)) return false;
  if (a.pointA !== null || a.pointB !== null) return true;
  return a.sectionId === b.sectionId && a.inverterId === b.inverterId;
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
