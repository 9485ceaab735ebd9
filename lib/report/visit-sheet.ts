import type { ReportSection } from "./report-document.ts";

/** A checklist to fill in by hand, or the report of a visit, as its reader sees it before anything is drawn. */
export interface VisitSheet {
  title: string;
  subtitle: string;
  /** Label and value, in pairs under the title. */
  facts: [label: string, value: string][];
  /** What stands before the checks. */
  cover: ReportSection[];
  /** Cautions that hold at every check; repeated at the head of every page of checks. */
  always: string[];
  /** Further cautions; a check names them by letter, and the page that it stands on says them in full. */
  cautions: string[];
  checks: SheetCheck[];
  /** Who signed. Empty: lines to sign on. */
  signatures: SheetSignature[];
  photos: SheetPhoto[];
  /** At the foot of every page, before the page's number. */
  footer: string;
  /** Epoch ms that the file says it was made at. */
  madeAt: number;
}

export interface SheetCheck {
  title: string;
  /** Sentences under the title, each from a line of its own. */
  lines: string[];
  /** Places in `VisitSheet.cautions`. */
  cautions: number[];
  /** What was found, or the unit of the value that is to be filled in; null: nothing is read, only looked at. */
  answer: { kind: "found"; outcome: string; lines: string[] } | { kind: "blank"; unit: string | null };
}

export interface SheetSignature {
  name: string;
  licence: string;
  /** Local time with its offset and zone. */
  when: string;
  /** What else is to be known of it. */
  says: string;
}

export interface SheetPhoto {
  /** From 1; checks name it by this. */
  number: number;
  caption: string;
  /** Null: it cannot be drawn, and the caption says why. */
  jpeg: Uint8Array | null;
}

/** Checks that stand on one page. */
export const CHECKS_A_PAGE = 10;

/** `a` for 0; after 26 letters `aa`. */
export function cautionLetter(index: number): string {
  const last = String.fromCharCode(97 + (index % 26));
  return index < 26 ? last : cautionLetter(Math.floor(index / 26) - 1) + last;
}
