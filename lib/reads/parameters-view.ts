import type { ParameterChange } from "../diagnose/parameter-overrides.ts";
import type { ParameterRow } from "../diagnose/parameters.ts";
import type { Urgency } from "./documents.ts";

export type ParameterKind = "edited" | "learned" | "rolled_back";

export interface ParameterVersionLine {
  version: number;
  parent: number;
  kind: ParameterKind;
  restores: number | null;
  reason: string;
  person: string;
  createdAt: string;
  /** Against its parent. */
  changes: ParameterChange[];
}

export interface ParametersView {
  /** 0: the program's defaults. */
  version: number;
  name: string;
  mayEdit: boolean;
  sites: number;
  rows: (ParameterRow & { default: { value: number; spread: number } })[];
  /** Newest first. */
  history: ParameterVersionLine[];
  learning: {
    outcomes: number;
    /** Confirmed visits that no score went before: nothing can be learned from them. */
    withoutScore: number;
    /** With what each rests on, in words. */
    changes: (ParameterChange & { restsOn: string })[];
  };
}

type Banded = { p: number; low: number; high: number };
export interface PreviewSide {
  bonding: Banded;
  energized: Banded;
  urgency: Urgency;
}

/** One step of a preview. */
export interface PreviewView {
  /** Sites of the sample, and how many of them are compared after this step. */
  total: number;
  done: number;
  /** Sites of the account. */
  fleet: number;
  /** Sites of this step of which anything shown moves. */
  moved: { siteId: string; name: string; before: PreviewSide; after: PreviewSide }[];
}
