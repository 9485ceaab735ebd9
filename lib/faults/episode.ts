import type { Instant } from "../core/records.ts";

/**
 * One ground-fault episode of a unit: alarms of its inverters merged over short gaps. Onsets are counted,
 * never rows.
 */
export interface Episode {
  unitId: string;
  /** Inverters that alarmed in it, sorted: the episode's signature. */
  inverterIds: string[];
  onset: Instant;
  /** Latest logged end; null: still active or not logged. */
  end: Instant | null;
  /** Rows merged into it (chatter). */
  rows: number;
  /**
   * Why its end says nothing about drying: null when the end is informative, else the reason
   * (within 30 minutes of nightfall or of loss of power, or not known).
   */
  censored: "nightfall" | "power_loss" | "end_unknown" | null;
  resetBy: "auto" | "remote" | "on_site" | "unknown" | null;
  closedAs: "self_cleared" | "repaired" | "no_fault_found" | "other" | null;
}

/** A set of inverters that share a bond or a combiner and so trip together; a lone inverter is a unit of one. */
export interface Unit {
  /** The lexicographically first inverter id of the unit. */
  unitId: string;
  inverterIds: string[];
}
