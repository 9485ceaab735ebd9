import type { ImportStatusDocument } from "./documents.ts";

export interface ImportSummary {
  importId: string;
  name: string;
  status: ImportStatusDocument["status"];
  requestedBy: string;
  requestedAt: string;
  finishedAt: string | null;
  rows: number;
  accepted: number;
  unchanged: number;
  setAside: number;
  /** 0 to 1 by bytes read; null when the size is not known. */
  progress: number | null;
  error: string | null;
}

export interface ImportView extends ImportSummary {
  files: {
    file: string;
    kind: string | null;
    status: string;
    bytesTotal: number | null;
    bytesRead: number;
    rows: number;
    accepted: number;
    unchanged: number;
    setAside: number;
    notes: string[];
  }[];
  /** First rows set aside, at most 100. */
  setAsideRows: {
    file: string;
    position: number;
    line: number;
    column: string;
    value: string;
    reason: string;
    /** Columns of its file and its cells; no columns where the row could not be split by them. */
    header: string[];
    cells: string[];
    /** The import in which it was sent in again. */
    sentIn: string | null;
  }[];
}
