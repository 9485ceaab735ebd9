import type { PathReport } from "../grounding/path-report.ts";

/** The way to ground of a site as its page shows it. */
export interface GroundingPathView extends PathReport {
  /** ISO time up to which records were used. */
  asOf: string;
}
