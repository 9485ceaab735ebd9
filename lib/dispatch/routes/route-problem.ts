/**
 * Crews and visits as the search sees them: numbers only. Stops are nodes 0 to stops - 1; bases follow. Times are in
 * minutes from an origin of the caller's.
 */
export interface RouteProblem {
  stops: number;
  days: number;
  nodes: number;
  /** `minutes[from * nodes + to]`; Infinity: no way. */
  minutes: Float64Array;
  /** By day: what each drive costs, laid out like `minutes`. Days with equal rates share an array. */
  arcCost: readonly Float64Array[];
  startNode: Int32Array;
  endNode: Int32Array;
  /** By day: earliest leave and latest return. */
  from: Float64Array;
  to: Float64Array;
  /** By stop, minutes. */
  service: Float64Array;
  /** `profit[stop * days + day]`: what serving it there is worth, the drive not counted. */
  profit: Float64Array;
  /**
   * `spans[stop * days + day]`: from, to, from, to … in order and apart: all of the work must lie in one of them.
   * Empty: not on that day.
   */
  spans: readonly (readonly number[])[];
}

/** Rounding of sums of minutes. */
export const TIME_SLACK = 1e-7;

/** When the work is done for one who arrives at a time; Infinity: never. Not earlier for one who arrives later. */
export function departure(spans: readonly number[], service: number, arrive: number): number {
  for (let i = 0; i < spans.length; i += 2) {
    const done = Math.max(arrive, spans[i] as number) + service;
    if (done <= (spans[i + 1] as number) + TIME_SLACK) return done;
  }
  return Number.POSITIVE_INFINITY;
}

/** The latest arrival for which the work is done by a time; -Infinity: none. */
export function latestArrival(spans: readonly number[], service: number, doneBy: number): number {
  for (let i = spans.length - 2; i >= 0; i -= 2) {
    const start = Math.min(spans[i + 1] as number, doneBy) - service;
    if (start >= (spans[i] as number) - TIME_SLACK) return start;
  }
  return Number.NEGATIVE_INFINITY;
}
