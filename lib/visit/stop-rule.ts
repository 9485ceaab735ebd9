import { STOP_AC_V, STOP_DC_V } from "../grounding/limits.ts";

/** One voltage reading as it stands in the log of a visit. Readings are never taken out of the log. */
export interface VoltReading {
  /** What tells it from every other reading: a stop that was read once is known again by it. */
  id: string;
  /** The checklist line it was written at. */
  item: string;
  /** The two points it was taken between; null: not said. */
  pointA: string | null;
  pointB: string | null;
  volts: number;
  quantity: "ac_rms" | "dc" | null;
  meterImpedance: "high" | "low" | "unknown";
  at: number;
  /** Name and licence of who read it; null: not given. */
  inspector: string | null;
  licence: string | null;
  /** The person wrote that they are a qualified person. Not said counts as no. */
  qualified: boolean;
}

/** At or above the limit at which everybody stands back. Without a quantity the lower limit counts; sign never does. */
export function isStopReading({ volts, quantity }: Pick<VoltReading, "volts" | "quantity">): boolean {
  return Math.abs(volts) >= (quantity === "dc" ? STOP_DC_V.value : STOP_AC_V.value);
}

/** The pair of points in either order; null where one is not said or both are the same. */
export function pairOf({ pointA, pointB }: Pick<VoltReading, "pointA" | "pointB">): string | null {
  const [a, b] = [pointA?.trim(), pointB?.trim()];
  return a && b && a !== b ? JSON.stringify([a, b].sort()) : null;
}

/**
 * The stop readings that stand. Each stands until a strictly later reading below the limit between the same two points
 * and of the same quantity (a stop without a quantity needs both), taken with a low-impedance meter by a person who
 * gave name and licence and wrote that they are qualified. Another person's lower value, a second look with a
 * high-impedance meter, a reading without points and silence lower nothing. A stop whose points were not said stands
 * until whoever read it writes the same reading again with them; that one stands in its place.
 * @returns in the order of time, then of height; empty: no stop was read, which is no clearance
 */
export function standingStops(readings: readonly VoltReading[]): VoltReading[] {
  return readings
    .filter((one) => isStopReading(one) && !isLowered(one, readings) && !isCompleted(one, readings))
    .sort((a, b) => a.at - b.at || Math.abs(b.volts) - Math.abs(a.volts) || (a.id < b.id ? -1 : 1));
}

function isLowered(stop: VoltReading, readings: readonly VoltReading[]): boolean {
  const pair = pairOf(stop);
  if (pair === null) return false;
  const lowering = readings.filter((now) => pairOf(now) === pair && now.at > stop.at && mayLower(now));
  const needed = stop.quantity === null ? (["ac_rms", "dc"] as const) : [stop.quantity];
  return needed.every((quantity) => lowering.some((now) => now.quantity === quantity));
}

function mayLower(now: VoltReading): boolean {
  const person = now.qualified && Boolean(now.inspector?.trim()) && Boolean(now.licence?.trim());
  return person && now.meterImpedance === "low" && Number.isFinite(now.volts) && !isStopReading(now);
}

/** Whether the same stop was written again with its points. It is then that one that stands. */
function isCompleted(stop: VoltReading, readings: readonly VoltReading[]): boolean {
  if (pairOf(stop) !== null) return false;
  return readings.some(
    (now) =>
      pairOf(now) !== null &&
      isStopReading(now) &&
      now.at >= stop.at &&
      now.item === stop.item &&
      (stop.inspector === null || now.inspector === stop.inspector) &&
      now.volts === stop.volts &&
      now.quantity === stop.quantity,
  );
}
