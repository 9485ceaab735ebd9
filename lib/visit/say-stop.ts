import { pairOf, type VoltReading } from "./stop-rule.ts";

/** A point of the import contract in words. */
export function pointName(point: string | null): string {
  return point ? point.replace(":", " ").replaceAll("_", " ") : "a point not said";
}

const KIND = { ac_rms: "V AC", dc: "V DC" } as const;

/** A stop reading in a sentence: how much, between what, by whom, when. */
export function sayStop(stop: VoltReading): string {
  const kind = stop.quantity === null ? "V, AC or DC not said," : KIND[stop.quantity];
  const when = new Date(stop.at).toISOString().slice(0, 16).replace("T", " ");
  const points = pairOf(stop) ? "" : " Its two points are not said: write it again with them.";
  return `${Math.abs(stop.volts)} ${kind} from ${pointName(stop.pointA)} to ${pointName(stop.pointB)}, read by ${stop.inspector ?? "a person not named"} on ${when} UTC.${points}`;
}
