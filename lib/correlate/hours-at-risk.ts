import type { Instant, TelemetrySpan } from "../core/records.ts";
import { HOUR_MS, type HourIndex } from "../core/weather-series.ts";
import type { Unit } from "../faults/episode.ts";
import { type HourRooms, NEW_ROOMS } from "./hour-rooms.ts";

/** Why unit-hours were left out; the first that holds counts. */
export const EXCLUSIONS = [
  "not_reporting",
  "silent",
  "off_manual",
  "off_grid",
  "locked_out",
  "isolated",
  "power_event",
  "end_unknown",
  "night",
  "grid_outage",
  "weather_unknown",
  "episode_open",
] as const;
export type Exclusion = (typeof EXCLUSIONS)[number];

/**
 * One inverter's hours: 0 able to trip, else 1 + place of the reason in EXCLUSIONS.
 * Index i is the hour that ends at `(firstHour + i) * HOUR_MS`.
 */
export type InverterHours = Uint8Array;
const ABLE = 0;
const NOT_REPORTING = 1 + EXCLUSIONS.indexOf("not_reporting");

const reasonCode = (reason: Exclusion) => 1 + EXCLUSIONS.indexOf(reason);
const OPEN = reasonCode("episode_open");

/**
 * Hours in which an inverter reported and was able to trip.
 *
 * With telemetry only reporting and running spans count, an hour when any of it is covered; what no span covers is not
 * known. A later span that says otherwise takes out the hours that lie wholly in it. Without telemetry the inverter is
 * taken to report over the window of its log, from commissioning; the caller says that this was assumed.
 *
 * @param telemetry spans of this inverter, sorted by start
 * @param logWindow undefined: the log says nothing of it
 */
export function inverterHours(
  telemetry: readonly TelemetrySpan[],
  logWindow: { from: Instant; to: Instant } | undefined,
  commissionedAt: Instant | null,
  firstHour: HourIndex,
  hours: number,
  rooms: HourRooms = NEW_ROOMS,
): InverterHours {
  const out = rooms.bytes(hours).fill(NOT_REPORTING);
  const began = commissionedAt ?? Number.NEGATIVE_INFINITY;
  if (telemetry.length === 0) {
    if (logWindow && logWindow.to > began) fillTouched(out, Math.max(logWindow.from, began), logWindow.to, firstHour);
    return out;
  }
  for (const span of telemetry) {
    if (span.state === "reporting" || span.state === "running")
      fillTouched(out, span.startedAt, span.endedAt, firstHour);
    else fillInside(out, span.startedAt, span.endedAt, firstHour, reasonCode(span.state));
  }
  return out;
}

/** Hours of which any part lies in the span. */
function fillTouched(out: InverterHours, from: Instant, to: Instant, firstHour: HourIndex): void {
  const a = Math.max(0, Math.floor(from / HOUR_MS) + 1 - firstHour);
  const b = Math.min(out.length, Math.ceil(to / HOUR_MS) - firstHour + 1);
  if (b > a) out.fill(ABLE, a, b);
}

/** Hours that lie wholly in the span. */
function fillInside(out: InverterHours, from: Instant, to: Instant, firstHour: HourIndex, code: number): void {
  const a = Math.max(0, Math.ceil(from / HOUR_MS) + 1 - firstHour);
  const b = Math.min(out.length, Math.floor(to / HOUR_MS) - firstHour + 1);
  if (b > a) out.fill(code, a, b);
}

/** Take out the hours of an able inverter that lie wholly between two instants. */
export function takeOut(
  out: InverterHours,
  from: Instant,
  to: Instant,
  firstHour: HourIndex,
  reason: "power_event" | "end_unknown" | "isolated",
): void {
  const a = Math.max(0, Math.ceil(from / HOUR_MS) + 1 - firstHour);
  const b = Math.min(out.length - 1, Number.isFinite(to) ? Math.floor(to / HOUR_MS) - firstHour : out.length);
  const code = reasonCode(reason);
  for (let i = a; i <= b; i++) if (out[i] === ABLE) out[i] = code;
}

export interface UnitHours {
  unit: Unit;
  /** 1 where the unit is at risk. */
  atRisk: Uint8Array;
}

/**
 * Hours at risk of a unit: at least one of its inverters able to trip, lit, no outage of the whole site, weather known,
 * no episode open and none ended within the gap. A unit is one thing that can trip, so its hours count once however
 * many inverters it has. The hour of an onset was at risk; the hours after it are not until the gap is over.
 *
 * @param inverters hours of the unit's inverters
 * @param usable 0 where the hour can count, else 1 + place of the reason in EXCLUSIONS; of the whole site
 * @param spans episodes of the unit: onset, and until when it is known to have been open
 * @param excluded unit-hours left out are added here
 * @param comparable set to 1 where the unit could trip, whether or not an episode was open
 * @param exposure the unit's hours at risk are added here
 */
export function unitHours(input: {
  unit: Unit;
  inverters: readonly InverterHours[];
  usable: Uint8Array;
  spans: readonly { onset: Instant; openUntil: Instant }[];
  gapMs: number;
  firstHour: HourIndex;
  excluded: Record<Exclusion, number>;
  comparable: Uint8Array;
  exposure: Uint16Array;
  rooms?: HourRooms;
}): UnitHours {
  const { unit, inverters, usable, firstHour, comparable, exposure, rooms = NEW_ROOMS } = input;
  const hours = usable.length;
  const atRisk = rooms.bytes(hours);
  const left = new Float64Array(EXCLUSIONS.length + 1);
  const [first = new Uint8Array(hours).fill(NOT_REPORTING), ...rest] = inverters;
  // Reasons come in runs: counted by run, nothing is stored for an hour that is left out.
  let [reason, run] = [ABLE, 0];
  for (let i = 0; i < hours; i++) {
    let code = first[i] as number;
    for (let k = 0; code !== ABLE && k < rest.length; k++) if (rest[k]?.[i] === ABLE) code = ABLE;
    if (code === ABLE) code = usable[i] as number;
    if (code === ABLE) {
      atRisk[i] = 1;
      comparable[i] = 1;
      exposure[i] = (exposure[i] as number) + 1;
    }
    if (code !== reason) {
      left[reason] = (left[reason] as number) + run;
      reason = code;
      run = 0;
    }
    run++;
  }
  left[reason] = (left[reason] as number) + run;
  for (const span of input.spans) {
    const from = Math.ceil(span.onset / HOUR_MS) + 1 - firstHour;
    const to = Math.floor((span.openUntil + input.gapMs) / HOUR_MS) - firstHour;
    for (let i = Math.max(0, from); i <= Math.min(to, hours - 1); i++) {
      if (atRisk[i] === 0) continue;
      left[OPEN] = (left[OPEN] as number) + 1;
      exposure[i] = (exposure[i] as number) - 1;
      atRisk[i] = 0;
    }
  }
  EXCLUSIONS.forEach((reason, k) => {
    input.excluded[reason] += left[k + 1] as number;
  });
  return { unit, atRisk };
}

/** Why an hour of the site cannot count for any unit, as `unitHours` takes it; night comes first. @param outage null: none */
export function usableHours(
  lit: Uint8Array,
  outage: Uint8Array | null,
  weatherKnown: Uint8Array,
  rooms: HourRooms = NEW_ROOMS,
): Uint8Array {
  const night = reasonCode("night");
  const grid = reasonCode("grid_outage");
  const unknown = reasonCode("weather_unknown");
  const out = rooms.bytes(lit.length);
  for (let i = 0; i < lit.length; i++)
    out[i] = !lit[i] ? night : outage?.[i] ? grid : !weatherKnown[i] ? unknown : ABLE;
  return out;
}
