import type { Instant, RecordedMoment, Repair, RepairCause, SiteRecords } from "../core/records.ts";

/** Strictly later; where either is known only to the day, a later day. */
export function strictlyLater(later: RecordedMoment, earlier: RecordedMoment): boolean {
  if (later.dayOnly || earlier.dayOnly) return later.day > earlier.day;
  return later.at > earlier.at;
}

/** What a repair must be to answer for a finding. */
export interface Clearing {
  found: RecordedMoment;
  /** Sections it was found at; empty: none named. */
  sectionIds: readonly string[];
  inverterId: string | null;
  test: "continuity" | "insulation";
  /** Causes whose repair can answer. */
  causes: readonly RepairCause[];
}

/** Whether a confirmed, tested repair of such a cause at that place came strictly after the finding and by `asOf`. */
export function clearedByRepair(records: SiteRecords, clearing: Clearing, asOf: Instant): boolean {
  return records.repairs.some(
    (repair) =>
      repair.repairedAt.at <= asOf &&
      strictlyLater(repair.repairedAt, clearing.found) &&
      repair.confirmed === "yes" &&
      (repair.testedAfter === "both" || repair.testedAfter === clearing.test) &&
      clearing.causes.includes(repair.cause) &&
      samePlace(records, repair, clearing),
  );
}

/**
 * A repair answers for the section it names, or the inverter it or its section belongs to. One that names no place
 * answers only where there is no choice: a finding without a place, or a site of a single section and inverter.
 */
function samePlace(records: SiteRecords, repair: Repair, found: Clearing): boolean {
  if (repair.sectionId === null && repair.inverterId === null) {
    const noPlace = found.sectionIds.length === 0 && found.inverterId === null;
    return noPlace || (records.sections.length <= 1 && records.inverters.length <= 1);
  }
  if (found.sectionIds.length > 0) return repair.sectionId !== null && found.sectionIds.includes(repair.sectionId);
  if (found.inverterId === null) return false;
  const owner = records.sections.find((section) => section.sectionId === repair.sectionId)?.inverterId ?? null;
  return (repair.inverterId ?? owner) === found.inverterId;
}
