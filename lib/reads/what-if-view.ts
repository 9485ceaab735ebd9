import type { Banded } from "../core/banded.ts";
import type { Cause, Check } from "../core/records.ts";
import type { Urgency } from "./documents.ts";

export interface Believed {
  bonding: Banded;
  energized: Banded;
  causes: Record<Cause, number>;
  causeBands: Record<Cause, { low: number; high: number }>;
  evidence: { source: string; decibans: number; says: string }[];
  urgency: Urgency;
}

export interface WhatIfView {
  before: Believed;
  after: Believed;
}

/** One more test and what it is expected to tell. */
export interface NextTest {
  check: Check;
  sectionId: string | null;
  inverterId: string | null;
  /** Expected loss of uncertainty about a bonding defect, bits. */
  bits: number;
  ifFails: Banded;
  ifPasses: Banded;
}
export interface NextTestsView {
  now: Banded;
  tests: NextTest[];
}
