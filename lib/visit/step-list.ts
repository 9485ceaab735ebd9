import type { Check } from "../core/records.ts";
import { CHECK_CATALOGUE, type WalkPlace } from "../grounding/check-catalogue.ts";

/** One thing to do at one place, with why it is on the list. */
export interface VisitStep {
  check: Check;
  place: WalkPlace;
  sectionId: string | null;
  inverterId: string | null;
  why: string[];
  /** What a warranty or policy lacks that can be got here; empty: nothing. */
  forCoverage: string[];
  /** How soon it is done where not everything fits into one visit: 0 must be, 1 voltage, 2 leading cause, 3 the rest. */
  level: 0 | 1 | 2 | 3;
}

/** Which kind of place a check is done at. */
export const AT_SECTION: ReadonlySet<Check> = new Set([
  "section_jumper",
  "bond_resistance",
  "bare_metal_contact",
  "listed_hardware",
  "all_metal_bonded",
  "conductor_condition",
  "connector_condition",
  "enclosure_dry",
]);
export const AT_INVERTER: ReadonlySet<Check> = new Set([
  "inverter_ground_terminal",
  "insulation_resistance",
  "surge_protection",
]);

/** Steps as they are collected: one a check and place, with every reason for it. */
export class StepList {
  private readonly steps = new Map<string, VisitStep>();
  add(
    check: Check,
    sectionId: string | null,
    inverterId: string | null,
    why: string,
    level: VisitStep["level"] = 3,
  ): void {
    const place = placeOf(check, sectionId, inverterId);
    const key = [check, place, sectionId ?? "", inverterId ?? ""].join("\n");
    const step = this.steps.get(key) ?? { check, place, sectionId, inverterId, why: [], forCoverage: [], level };
    step.level = Math.min(step.level, check === "section_potential" ? Math.min(level, 1) : level) as VisitStep["level"];
    if (!step.why.includes(why)) step.why.push(why);
    this.steps.set(key, step);
  }
  /** Say at every place of a check that is on the list already what it is worth to a warranty or policy. */
  noteForCoverage(check: Check, says: string): void {
    for (const step of this.steps.values())
      if (step.check === check && !step.forCoverage.includes(says)) step.forCoverage.push(says);
  }
  all(): VisitStep[] {
    return [...this.steps.values()];
  }
}

/** Where a check is done. */
export function placeOf(check: Check, sectionId: string | null, inverterId: string | null): WalkPlace {
  if (check === "insulation_resistance") return "back";
  if (sectionId !== null) return "roof";
  if (check === "section_potential") return inverterId !== null ? "electrical_room" : "ground";
  return CHECK_CATALOGUE[check].place;
}
