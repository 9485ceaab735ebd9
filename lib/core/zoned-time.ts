import { Temporal } from "temporal-polyfill";
import type { Instant, LocalDay } from "./records.ts";

/**
 * Offsets of one zone as a sorted table, so that millions of rows convert without asking the calendar
 * library for each. Built lazily from the platform's time-zone database.
 */
interface ZoneTable {
  /** `from[i]`: instant at which `offsetMs[i]` begins; `from[0]` is -Infinity. */
  from: number[];
  offsetMs: number[];
}

const TABLE_START = Date.UTC(1970, 0, 1);
const TABLE_END = Date.UTC(2100, 0, 1);
const tables = new Map<string, ZoneTable | null>();

function buildTable(zone: string): ZoneTable | null {
  let at: Temporal.ZonedDateTime;
  try {
    at = Temporal.Instant.fromEpochMilliseconds(TABLE_START).toZonedDateTimeISO(zone);
  } catch {
    return null;
  }
  const from = [Number.NEGATIVE_INFINITY];
  const offsetMs = [at.offsetNanoseconds / 1e6];
  for (;;) {
    const next = at.getTimeZoneTransition("next");
    if (!next || next.epochMilliseconds > TABLE_END) break;
    from.push(next.epochMilliseconds);
    offsetMs.push(next.offsetNanoseconds / 1e6);
    at = next;
  }
  return { from, offsetMs };
}

function zoneTable(zone: string): ZoneTable | null {
  let table = tables.get(zone);
  if (table === undefined) {
    table = /^[A-Za-z]/.test(zone) ? buildTable(zone) : null;
    tables.set(zone, table);
  }
  return table;
}

/** Whether the platform knows this IANA zone. Bare offsets such as `+05:00` are refused: they have no summer time. */
export function isTimeZone(zone: string): boolean {
  return zoneTable(zone) !== null;
}

/**
 * Offset of a zone at an instant.
 * @returns milliseconds to add to UTC to get local time
 * @throws RangeError when the zone is unknown
 */
export function zoneOffsetMs(zone: string, at: Instant): number {
  const table = zoneTable(zone);
  if (!table) throw new RangeError(`zoneOffsetMs requires an IANA time zone, got "${zone}"`);
  let lo = 0;
  let hi = table.from.length - 1;
  while (lo < hi) {
    const mid = (lo + hi + 1) >> 1;
    if ((table.from[mid] as number) <= at) lo = mid;
    else hi = mid - 1;
  }
  return table.offsetMs[lo] as number;
}

/** The zone's standard offset (the smaller of those in force in that year's January and July), ms. */
export function standardOffsetMs(zone: string, at: Instant): number {
  const year = new Date(at).getUTCFullYear();
  return Math.min(zoneOffsetMs(zone, Date.UTC(year, 0, 1)), zoneOffsetMs(zone, Date.UTC(year, 6, 1)));
}

export type LocalTimeKind = "plain" | "ambiguous" | "skipped";

/**
 * Local wall time to an instant. An ambiguous time takes its first occurrence; a time that does not exist
 * moves forward by the gap.
 * @param wallMs the wall clock read as if it were UTC, epoch ms
 * @returns the instant, and whether the time was ambiguous or skipped
 * @throws RangeError when the zone is unknown
 */
export function instantFromWall(wallMs: number, zone: string): { at: Instant; kind: LocalTimeKind } {
  const before = zoneOffsetMs(zone, wallMs - 86_400_000);
  const after = zoneOffsetMs(zone, wallMs + 86_400_000);
  if (before === after) return { at: wallMs - before, kind: "plain" };
  const early = wallMs - before;
  const late = wallMs - after;
  const earlyHolds = zoneOffsetMs(zone, early) === before;
  const lateHolds = zoneOffsetMs(zone, late) === after;
  if (earlyHolds && lateHolds) return { at: early, kind: early === late ? "plain" : "ambiguous" };
  if (earlyHolds) return { at: early, kind: "plain" };
  if (lateHolds) return { at: late, kind: "plain" };
  // Neither offset holds: the wall clock jumped over this time. The offset before the jump carries it forward.
  return { at: early, kind: "skipped" };
}

const ISO =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s*(Z|z|[+-]\d{2}(?::?\d{2})?)?)?$/;

export type ParsedTime =
  | { ok: true; at: Instant; kind: LocalTimeKind; dayOnly: boolean; day: LocalDay }
  | { ok: false; reason: string };

/**
 * Read an ISO 8601 time as the contract does: absolute with `Z` or an offset, otherwise local to `zone`.
 * A date alone is taken as local noon with `dayOnly` set, because it means some time on that day.
 * @param zone IANA zone of the site; null when it is not known (a local time is then refused)
 */
export function parseIsoTime(text: string, zone: string | null): ParsedTime {
  const m = ISO.exec(text.trim());
  if (!m)
    return {
      ok: false,
      reason: "not an ISO 8601 time (YYYY-MM-DDTHH:MM:SS, with Z or an offset, or local to the site)",
    };
  const [, y, mo, d, h, mi, s, frac, zoneText] = m;
  const year = Number(y);
  const month = Number(mo);
  const day = Number(d);
  const hour = h === undefined ? 12 : Number(h);
  const minute = Number(mi ?? 0);
  const second = Number(s ?? 0);
  // Cut, not rounded: 23:59:59.9996 is still of its day.
  const ms = frac ? Number(frac.padEnd(3, "0").slice(0, 3)) : 0;
  const wallMs = Date.UTC(year, month - 1, day, hour, minute, Math.min(second, 59), ms);
  const back = new Date(wallMs);
  if (back.getUTCMonth() !== month - 1 || back.getUTCDate() !== day || hour > 23 || minute > 59 || second > 60) {
    return { ok: false, reason: "no such date or time" };
  }
  if (year < 1970 || year > 2099) return { ok: false, reason: "year outside 1970 to 2099" };
  const dayText = `${y}-${mo}-${d}`;
  if (zoneText) {
    const offset = /^z$/i.test(zoneText) ? 0 : parseOffset(zoneText);
    if (offset === null) return { ok: false, reason: "offset outside -18:00 to +18:00" };
    const at = wallMs - offset;
    return {
      ok: true,
      at,
      kind: "plain",
      dayOnly: false,
      day: zone && isTimeZone(zone) ? localDay(at, zone) : dayText,
    };
  }
  if (!zone || !isTimeZone(zone))
    return { ok: false, reason: "a time without Z or an offset needs the site's time zone" };
  const { at, kind } = instantFromWall(wallMs, zone);
  return { ok: true, at, kind: h === undefined ? "plain" : kind, dayOnly: h === undefined, day: dayText };
}

function parseOffset(text: string): number | null {
  const sign = text.startsWith("-") ? -1 : 1;
  const digits = text.slice(1).replace(":", "");
  const hours = Number(digits.slice(0, 2));
  const minutes = Number(digits.slice(2, 4) || 0);
  if (hours > 18 || minutes > 59) return null;
  return sign * (hours * 60 + minutes) * 60_000;
}

/** Wall clock of an instant in a zone, as epoch ms read as if UTC. */
export function wallMs(at: Instant, zone: string): number {
  return at + zoneOffsetMs(zone, at);
}

/** Calendar day of an instant in a zone. */
export function localDay(at: Instant, zone: string): LocalDay {
  return new Date(wallMs(at, zone)).toISOString().slice(0, 10);
}

/** `YYYY-MM-DDTHH:MM:SS+hh:mm` in a zone. */
export function isoInZone(at: Instant, zone: string): string {
  const offset = zoneOffsetMs(zone, at);
  const sign = offset < 0 ? "-" : "+";
  const minutes = Math.abs(offset) / 60_000;
  const hh = String(Math.floor(minutes / 60)).padStart(2, "0");
  const mm = String(Math.round(minutes % 60)).padStart(2, "0");
  return `${new Date(at + offset).toISOString().slice(0, 19)}${sign}${hh}:${mm}`;
}
