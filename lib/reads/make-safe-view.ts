import { z } from "zod";
import type { MakeSafeStep } from "../visit/make-safe-state.ts";

/** An open make_safe as lists show it. */
export interface OpenMakeSafe {
  makeSafeId: string;
  siteId: string;
  siteName: string;
  reason: string;
  openedAt: string;
  /** Last step done, and the one that has to be done now; null: released or over. */
  step: MakeSafeStep;
  next: MakeSafeStep | null;
  /** Who did the last step; null: nobody has it. */
  hasIt: string | null;
  /** Since when it is locked out; null: it is not. */
  isolatedSince: string | null;
}

/** States that are counted apart, the most pressing first. */
export const MAKE_SAFE_STATES = ["nobody", "taken", "isolated", "watched"] as const;
export type MakeSafeState = (typeof MAKE_SAFE_STATES)[number];

export function stateOf({ hasIt, isolatedSince, step }: OpenMakeSafe): MakeSafeState {
  if (isolatedSince !== null) return "isolated";
  if (hasIt === null) return "nobody";
  return step === "authorised" ? "watched" : "taken";
}

/** Emergencies under way, a page of them; `states` counts all of them. */
export interface OpenMakeSafes {
  total: number;
  states: { state: MakeSafeState; n: number }[];
  /** Those that nobody has first, then the oldest. */
  shown: OpenMakeSafe[];
  /** How many come after these. */
  left: number;
  /** Ask with this as `after` for those; null: there are none. */
  next: string | null;
}

/** @property after `next` of the page before */
export const OpenMakeSafesQuery = z.object({
  after: z.string().max(400).optional(),
  most: z.coerce.number().int().min(1).max(200).default(50),
});
export type OpenMakeSafesQuery = z.infer<typeof OpenMakeSafesQuery>;

/** One make_safe with all that happened. */
export interface MakeSafeRun extends OpenMakeSafe {
  closedAt: string | null;
  events: { kind: string; at: string; by: string; says: string; photo: string | null }[];
}

/** What the page of a site shows of its emergencies. */
export interface SiteMakeSafe {
  open: MakeSafeRun | null;
  past: MakeSafeRun[];
  /** What keeps it from being given back, each as a sentence. */
  stops: string[];
  findings: string[];
  /** Repairs on record since it was opened, for the step that names one. */
  repairs: { repairedAt: number; cause: string; sectionId: string | null; inverterId: string | null; says: string }[];
  sectionIds: string[];
  inverterIds: string[];
  contact: { name: string | null; phone: string | null; emergency: string | null };
  /** Who has been asked to answer. */
  duty: { name: string; phone: string }[];
}
