import type { PreviewBody } from "@/lib/reads/parameters.ts";

/** A change that is being looked at before it is saved. */
export interface Proposed {
  title: string;
  change: PreviewBody["change"];
  /** Where to save it, and what goes with the reason. */
  url: string;
  extra: Record<string, unknown>;
}
