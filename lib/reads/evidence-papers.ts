import { endingOf } from "./evidence-photos.ts";

/** Name of a paper's file in the folder: its own name may hold anything. */
export function paperFile(paper: { sha256: string; mediaType: string }, place: number): string {
  return `paper-${String(place + 1).padStart(3, "0")}-${paper.sha256.slice(0, 8)}.${endingOf(paper.mediaType)}`;
}

/** An instrument as the inspections of a site name it. */
export interface Instrument {
  serial: string;
  calibratedOn: string | null;
  readings: number;
  /** Site-local days. */
  firstUsed: string;
  lastUsed: string;
}
