import type { Banded } from "../core/banded.ts";
import type { Cause } from "../core/records.ts";
import type { EventBasis } from "./event-basis.ts";

/** A probability with the 5 % and 95 % points that parameter uncertainty gives it. */
export type BandedProbability = Banded;

/** One piece of evidence for or against a bonding-family defect. */
export interface EvidenceItem {
  /** `prior`, `attributes`, `events`, `clearing`, `signature`, `measurement`, `checklist`, `repair`, … */
  source: string;
  /** Weight in decibans; items sum to 10 log10(p / (1 - p)) of the bonding-defect probability. */
  decibans: number;
  /** A sentence a manager can read. */
  says: string;
  /**
   * Decibans that the belief would lose without this item, all others kept. Unlike `decibans` it does not depend on
   * the order of the items, and does not sum to anything. Absent for the prior, which cannot be left out.
   */
  withoutDecibans?: number;
}

export interface Gap {
  what: string;
  says: string;
}

/** What is believed of a site's grounding at an instant, and why. */
export interface Diagnosis {
  bondingDefect: BandedProbability;
  energizedMetal: BandedProbability;
  /** Marginal probability of each cause; causes coexist, so these need not sum to 1. */
  causes: Record<Cause, number>;
  /** The 5 % and 95 % points of each; they hold the marginal. */
  causeBands: Record<Cause, { low: number; high: number }>;
  evidence: EvidenceItem[];
  /** The weightiest items for and against a bonding defect, by what leaving them out would change; absent: none is. */
  strongest?: { for?: EvidenceItem; against?: EvidenceItem };
  /** Log odds that confirmed visits of sites of its installer or hardware added; absent: none were known. */
  sharedLogOdds?: Partial<Record<Cause, number>>;
  /** What its rates can be learned from, once a visit confirms; absent: no log. */
  basis?: EventBasis;
  gaps: Gap[];
  notes: string[];
}
