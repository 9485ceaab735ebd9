import type { Instant, SiteRecords } from "../core/records.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import type { SharedGroup } from "./shared-effect.ts";

export interface DiagnoseInput {
  records: SiteRecords;
  correlation: SiteCorrelation;
  asOf: Instant;
  /** Confirmed visits of other sites that share its installer or hardware; absent: none are known. */
  shared?: readonly SharedGroup[];
}
