import { STOP_AC_V, STOP_DC_V } from "../grounding/limits.ts";

/** One voltage reading as it stands in the log of a visit. Readings are never taken out of the log. */
export interface VoltReading {
  /** What was measured: readings of one place only are set against one another. */
  place: string;
  volts: number;
  quantity: "ac_rms" | "dc" | null;
  meterImpedance: "high" | "low" | "unknown";
  at: number;
  /** Name and licence of who read it; null: not given. */
  inspector: string | null;
  licence: string | null;
}

/** At or above the limit at which everybody stands back. Without a quantity the lower limit counts; sign never does. */
export function isStopReading({ volts, quantity }: Pick<VoltReading, "volts" | "quantity">): boolean {
  return Math.abs(volts) >= (quantity === "dc" ? STOP_DC_V.value : STOP_AC_V.value);
}

/**
 * The stop readings that stand. Each stands until a strictly later reading below the limit at the same place and of
 * the same quantity (a stop without a quantity needs both), taken with a low-impedance meter by a person who gave name
 * and licence. Another person's lower value, a second look with a high-impedance meter and silence lower nothing.
 * @returns in the order of time, then of height; empty: no stop was read, which is no clearance
 */
export function standingStops(readings: readonly VoltReading[]): VoltReading[] {
  return readings
    .filter((one) => isStopReading(one) && !isLowered(one, readings))
    .sort((a, b) => a.at - b.at || Math.abs(b.volts) - Math.abs(a.volts) || (a.place < b.place ? -1 : 1));
}

function isLowered(stop: VoltReading, readings: readonly VoltReading[]): boolean {
  const lowering = readings.filter(
    (now) =>
      now.place === stop.place &&
      now.at > stop.at &&
      now.meterImpedance === "low" &&
      Boolean(now.inspector?.trim()) &&
      Boolean(now.licence?.trim()) &&
      Number.isFinite(now.volts) &&
      !isStopReading(now),
  );
  const needed = stop.quantity === null ? (["ac_rms", "dc"] as const) : [stop.quantity];
  return needed.every((quantity) => lowering.some((now) => now.quantity === quantity));
}
