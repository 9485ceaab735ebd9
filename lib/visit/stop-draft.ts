import { isStopReading, type VoltReading } from "./stop-rule.ts";

/**
 * The stop that stands while a voltage is being typed. It is there from the first value that reaches the limit and
 * keeps its id while digits are added; deleting digits never takes it away, because what was read was read.
 * @returns null: no typed value has reached the limit
 */
export function typedStop(held: VoltReading | null, typed: VoltReading): VoltReading | null {
  if (!isStopReading(typed) || !Number.isFinite(typed.volts)) return held;
  if (held !== null && Math.abs(held.volts) >= Math.abs(typed.volts)) return held;
  return held === null ? typed : { ...typed, id: held.id };
}

/** Stops that nobody has read on this phone yet. One that was lowered and another one read later is a new one. */
export const unreadStops = (standing: readonly VoltReading[], read: ReadonlySet<string>): VoltReading[] =>
  standing.filter((stop) => !read.has(stop.id));
