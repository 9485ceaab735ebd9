import { CAUSES, type Cause, type Inspection, type Instant, type Repair, type Section } from "../core/records.ts";
import { isPlainCheck, sectionOf } from "./findings.ts";
import type { JudgedCheck } from "./learn-checks.ts";

/** Chance that a cause confirmed was not there, and that one looked for and ruled out was. Judgement. */
const MISTAKEN = 0.02;
const OVERLOOKED = 0.15;
/** A repair this long after a check says little of what was there at it. Judgement. */
const CONFIRMS_WITHIN_DAYS = 365;
const DAY_MS = 86_400_000;

export type PlacedInspection = Pick<
  Inspection,
  | "inspectedAt"
  | "check"
  | "outcome"
  | "inspector"
  | "value"
  | "unit"
  | "sectionId"
  | "inverterId"
  | "pointA"
  | "pointB"
>;
export type PlacedRepair = Pick<Repair, "repairedAt" | "cause" | "confirmed" | "sectionId">;

/** A site's checks and what could confirm them. */
export interface CheckedSite {
  siteId: string;
  sections: readonly Pick<Section, "sectionId" | "inverterId">[];
  inspections: readonly PlacedInspection[];
  repairs: readonly PlacedRepair[];
}

/** Days of a site on which somebody did a check that learning can use, with their first instant. */
export function checkedDays({ inspections }: CheckedSite): Map<string, Instant> {
  const days = new Map<string, Instant>();
  for (const i of inspections) {
    if (i.outcome === "unable" || !isPlainCheck(i)) continue;
    days.set(i.inspectedAt.day, Math.min(days.get(i.inspectedAt.day) ?? i.inspectedAt.at, i.inspectedAt.at));
  }
  return days;
}

/**
 * A site's checks with the chance that each cause was at their place.
 * @param statedOn marginals of the causes as stated before a day; null: nothing was, and its checks teach nothing
 */
export function judgedChecks(
  site: CheckedSite,
  statedOn: (day: string) => Readonly<Record<Cause, number>> | null,
): JudgedCheck[] {
  return site.inspections.flatMap((i) => {
    if (i.outcome === "unable" || !isPlainCheck(i)) return [];
    const stated = statedOn(i.inspectedAt.day);
    if (stated === null) return [];
    const presence = Float64Array.from(CAUSES, (cause) => presenceOf(cause, i, stated[cause], site));
    return [{ check: i.check, fails: i.outcome === "fail", inspector: i.inspector, presence }];
  });
}

function presenceOf(cause: Cause, i: PlacedInspection, stated: number, { sections, repairs }: CheckedSite): number {
  const places = Math.max(1, sections.length);
  const section = sectionOf(i);
  // A cause sits at one place, and which is not known beforehand.
  const seen = section !== null ? 1 : sections.filter((s) => s.inverterId === i.inverterId).length;
  const share = section !== null || i.inverterId !== null ? Math.min(1, Math.max(1, seen) / places) : 1;
  const before = stated * share;
  const after = repairs.find(
    (r) =>
      r.cause === cause &&
      r.confirmed !== null &&
      r.repairedAt.day >= i.inspectedAt.day &&
      r.repairedAt.at <= i.inspectedAt.at + CONFIRMS_WITHIN_DAYS * DAY_MS,
  );
  if (!after) return before;
  if (after.confirmed === "no") return (before * OVERLOOKED) / (1 - before + before * OVERLOOKED);
  if (after.sectionId !== null && section !== null) return after.sectionId === section ? 1 - MISTAKEN : MISTAKEN;
  return (1 - MISTAKEN) * (after.sectionId === null ? share : 1);
}
