import type { CodeMeaning, FaultRow, Instant } from "../core/records.ts";
import { decodeCode } from "./fault-code.ts";

export const GROUND_FAULT = "GROUND_FAULT";
/** Events that mean the grid or the AC side was away. */
export const POWER_EVENTS = new Set([
  "GRID_DISCONNECT",
  "AC_DISCONNECT",
  "AC_UNDER_VOLT",
  "AC_OVER_VOLT",
  "UNDER_FREQUENCY",
  "OVER_FREQUENCY",
]);

/** One event of one inverter in time. */
export interface EventSpan {
  inverterId: string;
  event: string;
  start: Instant;
  /** null: still active or its end was not logged. */
  end: Instant | null;
  resetBy: FaultRow["resetBy"];
  closedAs: FaultRow["closedAs"];
}

export interface SpanCounts {
  rows: number;
  groundFaultRows: number;
  otherRows: number;
  unknownCodes: number;
  notImplemented: number;
  endMarkers: number;
  outOfOrder: number;
  overlapping: number;
  duplicates: number;
  missingEnds: number;
}

/**
 * Rows of one site's log to spans of events. A row of `0` ends what is open on its inverter and is no event. Rows may
 * come in any order; the counts say how the log came.
 * @param rows as stored, any order, not after the instant of the score
 */
export function eventSpans(
  rows: readonly FaultRow[],
  meanings: ReadonlyMap<string, CodeMeaning>,
): { spans: EventSpan[]; counts: SpanCounts; groundFaultRows: FaultRow[] } {
  const counts: SpanCounts = {
    rows: rows.length,
    groundFaultRows: 0,
    otherRows: 0,
    unknownCodes: 0,
    notImplemented: 0,
    endMarkers: 0,
    outOfOrder: 0,
    overlapping: 0,
    duplicates: 0,
    missingEnds: 0,
  };
  const spans: EventSpan[] = [];
  const groundFaultRows: FaultRow[] = [];
  const open = new Map<string, EventSpan[]>();
  for (const row of sortedRows(rows, counts)) {
    const decoded = decodeCode(row.code, row.codeSystem, meanings);
    if (!decoded.known) counts.unknownCodes++;
    if (decoded.ends) {
      counts.endMarkers++;
      for (const span of open.get(row.inverterId) ?? []) span.end ??= row.startedAt;
      open.delete(row.inverterId);
      continue;
    }
    if (decoded.events.length === 0) counts.notImplemented++;
    else if (decoded.events.includes(GROUND_FAULT)) {
      counts.groundFaultRows++;
      groundFaultRows.push(row);
    } else counts.otherRows++;
    for (const event of decoded.events) {
      const { inverterId, startedAt: start, endedAt: end, resetBy, closedAs } = row;
      const span: EventSpan = { inverterId, event, start, end, resetBy, closedAs };
      spans.push(span);
      if (end === null) {
        const list = open.get(inverterId);
        if (list) list.push(span);
        else open.set(inverterId, [span]);
      }
    }
  }
  counts.missingEnds = spans.filter((s) => s.end === null && s.event === GROUND_FAULT).length;
  countOverlaps(spans, counts);
  return { spans, counts, groundFaultRows };
}

function sortedRows(rows: readonly FaultRow[], counts: SpanCounts): FaultRow[] {
  const last = new Map<string, Instant>();
  const seen = new Set<string>();
  for (const row of rows) {
    const before = last.get(row.inverterId);
    if (before !== undefined && row.startedAt < before) counts.outOfOrder++;
    last.set(row.inverterId, Math.max(before ?? row.startedAt, row.startedAt));
    const key = `${row.inverterId}\n${row.startedAt}\n${row.code}`;
    if (seen.has(key)) counts.duplicates++;
    seen.add(key);
  }
  return [...rows].sort((a, b) => a.startedAt - b.startedAt || (a.inverterId < b.inverterId ? -1 : 1));
}

function countOverlaps(spans: EventSpan[], counts: SpanCounts): void {
  const latest = new Map<string, Instant>();
  for (const span of spans) {
    if (span.event !== GROUND_FAULT) continue;
    const before = latest.get(span.inverterId);
    if (before !== undefined && span.start < before) counts.overlapping++;
    latest.set(span.inverterId, Math.max(before ?? Number.NEGATIVE_INFINITY, span.end ?? span.start));
  }
}
