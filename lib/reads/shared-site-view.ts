import type { Units } from "../core/units.ts";

/** What a shared link shows: the summary of a site's evidence file, word for word, and whom it was shared with. */
export interface SharedSiteView {
  madeFor: string;
  sharedBy: string;
  expiresAt: string;
  /** Figures of the record stay as they are; with "us" those have theirs in brackets. */
  units: Units;
  title: string;
  subtitle: string;
  facts: [label: string, value: string][];
  sections: {
    heading: string;
    paragraphs: string[];
    table?: { columns: { head: string; right?: boolean }[]; rows: string[][] };
    after?: string[];
  }[];
}
