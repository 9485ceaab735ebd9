import type { Instant } from "../core/records.ts";

export const MAKE_SAFE_TRIGGERS = [
  "stop_potential",
  "insulation_low",
  "residual_current",
  "open_egc",
  "hazard_report",
  "open_bond_in_reach",
  "energized_metal",
] as const;

/** A fact that makes a site an emergency whatever its score. */
export interface MakeSafeTrigger {
  trigger: (typeof MAKE_SAFE_TRIGGERS)[number];
  /** A sentence that says what was found and what it means. */
  reason: string;
  /** When it was recorded; null for what follows from probabilities. */
  since: Instant | null;
  sectionId: string | null;
  inverterId: string | null;
}
