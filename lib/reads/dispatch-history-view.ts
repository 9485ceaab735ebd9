import type { DispatchRecord } from "../dispatch/plans/dispatch-record.ts";

export interface DispatchHistoryView {
  from: string;
  to: string;
  currency: string;
  all: DispatchRecord;
  byCrew: { crewId: string; crewName: string; record: DispatchRecord }[];
  byMonth: { month: string; record: DispatchRecord }[];
  visits: {
    visitId: string;
    siteName: string;
    crewName: string;
    day: string;
    planned: string;
    made: string | null;
    plannedHours: number;
    hours: number | null;
    found: number | null;
    expected: number | null;
  }[];
}
