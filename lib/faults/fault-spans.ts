import type { CodeMeaning, FaultRow, Instant } from "../core/records.ts";
import { decodeCode, isBitfield } from "./fault-code.ts";

export const GROUND_FAULT = "GROUND_FAULT";
/** Events that mean the grid or the AC side was away. */
export const POWER_EVENTS: ReadonlySet<string> = new Set([
  "GRID_DISCONNECT",
  "AC_DISCONNECT",
  "AC_UNDER_VOLT",
  "AC_OVER_VOLT",
  "UNDER_FREQUENCY",
  "OVER_FREQUENCY",
]);
/** Events while which an inverter does not run, so that it cannot trip. */
export const STOP_EVENTS: ReadonlySet<string> = new Set([...POWER_EVENTS, "DC_DISCONNECT", "MANUAL_SHUTDOWN"]);

/** One event of one inverter in time. */
export interface EventSpan {
  inverterId: string;
  event: string;
  start: Instant;
  /** null: still active or its end was not logged. */
  end: Instant | null;
  /** When somebody or something reset it; an inverter that latched is out until then. */
  resetAt: Instant | null;
  resetBy: FaultRow["resetBy"];
  closedAs: FaultRow["closedAs"];
}

/** How the log came. `rows` is the sum of the four kinds below it and the duplicates. */
export interface SpanCounts {
  rows: number;
  groundFaultRows: number;
  otherRows: number;
  notImplemented: number;
  endMarkers: number;
  /** Same inverter, start, end, code and vocabulary as an earlier row; not used. */
  duplicates: number;
  unknownCodes: number;
  outOfOrder: number;
  /** Ground-fault spans that began before an earlier one of the same inverter had ended. */
  overlapping: number;
  /** Ground-fault spans without an end. */
  missingEnds: number;
  /** Rows whose end lies before their start; the end is taken as not known. */
  endBeforeStart: number;
}

/**
 * Rows of one site's log to spans of events.
 *
 * A row of `0` ends what is open on its inverter and is no event. A log that holds such rows is one of polls: there, a
 * later bitfield without a bit ends that bit's span too, and rows with the bit set up to then are one event, however
 * far apart. In other logs a row without an end is an event whose end is not known.
 *
 * @param rows any order, not after the instant of the score
 * @shape O(rows log rows); inputs are not mutated
 */
export function eventSpans(
  rows: readonly FaultRow[],
  meanings: ReadonlyMap<string, CodeMeaning>,
): { spans: EventSpan[]; counts: SpanCounts } {
  const counts = noCounts(rows.length);
  const decoded = sortedRows(rows, counts).map((row) => ({
    row,
    code: decodeCode(row.code, row.codeSystem, meanings),
  }));
  const polled = new Set(decoded.filter((d) => d.code.ends).map((d) => d.row.inverterId));
  const spans: EventSpan[] = [];
  const open = new Map<string, EventSpan[]>();
  const endOpen = (row: FaultRow, stillActive: readonly string[]) => {
    const list = open.get(row.inverterId) ?? [];
    for (const span of list) if (!stillActive.includes(span.event)) span.end = row.startedAt;
    open.set(
      row.inverterId,
      list.filter((span) => span.end === null),
    );
  };
  for (const { row, code } of decoded) {
    countRow(code, counts);
    const isPoll = polled.has(row.inverterId) && row.endedAt === null && isBitfield(row.code, row.codeSystem);
    if (code.ends || (isPoll && code.events.length > 0)) endOpen(row, code.events);
    for (const event of code.events) {
      const span = spanOf(row, event);
      spans.push(span);
      if (span.end !== null) continue;
      const list = open.get(row.inverterId);
      if (list) list.push(span);
      else open.set(row.inverterId, [span]);
    }
  }
  counts.missingEnds = spans.filter((s) => s.end === null && s.event === GROUND_FAULT).length;
  counts.overlapping = overlaps(spans);
  return { spans, counts };
}

function noCounts(rows: number): SpanCounts {
  return {
    rows,
    groundFaultRows: 0,
    otherRows: 0,
    notImplemented: 0,
    endMarkers: 0,
    duplicates: 0,
    unknownCodes: 0,
    outOfOrder: 0,
    overlapping: 0,
    missingEnds: 0,
    endBeforeStart: 0,
  };
}

function countRow(code: ReturnType<typeof decodeCode>, counts: SpanCounts): void {
  if (!code.known) counts.unknownCodes++;
  if (code.ends) counts.endMarkers++;
  else if (code.events.length === 0) counts.notImplemented++;
  else if (code.events.includes(GROUND_FAULT)) counts.groundFaultRows++;
  else counts.otherRows++;
}

function spanOf(row: FaultRow, event: string): EventSpan {
  const { inverterId, startedAt: start, endedAt: end, resetAt, resetBy, closedAs } = row;
  return { inverterId, event, start, end, resetAt, resetBy, closedAs };
}

/** By start, then inverter, with duplicates left out and impossible ends set to unknown. */
function sortedRows(rows: readonly FaultRow[], counts: SpanCounts): FaultRow[] {
  const last = new Map<string, Instant>();
  for (const row of rows) {
    const before = last.get(row.inverterId);
    if (before !== undefined && row.startedAt < before) counts.outOfOrder++;
    last.set(row.inverterId, Math.max(before ?? row.startedAt, row.startedAt));
  }
  const sorted = [...rows].sort(
    (a, b) => a.startedAt - b.startedAt || (a.inverterId < b.inverterId ? -1 : a.inverterId > b.inverterId ? 1 : 0),
  );
  const kept: FaultRow[] = [];
  // Rows of one inverter and start are neighbours now, in the order they came in; most stand alone.
  const alike = new Set<string>();
  let first: FaultRow | null = null;
  for (const row of sorted) {
    if (row.startedAt !== first?.startedAt || row.inverterId !== first.inverterId) {
      first = row;
      alike.clear();
    } else {
      if (alike.size === 0) alike.add(saidBy(first));
      if (alike.has(saidBy(row))) {
        counts.duplicates++;
        continue;
      }
      alike.add(saidBy(row));
    }
    const impossible = row.endedAt !== null && row.endedAt < row.startedAt;
    if (impossible) counts.endBeforeStart++;
    kept.push(impossible ? { ...row, endedAt: null } : row);
  }
  return kept;
}

/** What a row says beside its inverter and start. */
const saidBy = (row: FaultRow) => `${row.endedAt}\n${row.codeSystem}\n${row.code}`;

function overlaps(spans: readonly EventSpan[]): number {
  const latest = new Map<string, Instant>();
  let count = 0;
  for (const span of spans) {
    if (span.event !== GROUND_FAULT) continue;
    const before = latest.get(span.inverterId);
    if (before !== undefined && span.start < before) count++;
    latest.set(span.inverterId, Math.max(before ?? Number.NEGATIVE_INFINITY, span.end ?? span.start));
  }
  return count;
}
