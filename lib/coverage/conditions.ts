import { type Check, COVERAGE_CONDITIONS, type Inspection, type Instant, type SiteRecords } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { bondingPath } from "../grounding/bonding-path.ts";
import { siteConductors } from "../grounding/site-conductors.ts";
import { addMonths } from "./local-days.ts";

export type CoverageCondition = (typeof COVERAGE_CONDITIONS)[number];

/** A condition of a contract held against what is recorded. Absence of evidence is unknown, never met. */
export interface ConditionFinding {
  condition: CoverageCondition;
  state: "met" | "broken" | "unknown";
  says: string;
  /** The record behind it, in words that find it again; null where there is none. */
  record: string | null;
  /** What restores a broken condition, or settles an unknown one; null when met. */
  restores: string | null;
}

/** A paper on file, as far as conditions ask for it. */
export interface PaperOnFile {
  kind: string;
  fileName: string;
  page: number | null;
}

type Facts = { records: SiteRecords; papers: readonly PaperOnFile[]; asOf: Instant };

/** Every condition that a contract can have, held against the records of its site up to `asOf`. */
export function conditionFindings(facts: Facts): ConditionFinding[] {
  const usable = {
    ...facts,
    records: {
      ...facts.records,
      inspections: facts.records.inspections.filter((row) => row.inspectedAt.at <= facts.asOf),
      repairs: facts.records.repairs.filter((row) => row.repairedAt.at <= facts.asOf),
    },
  };
  const of: Record<CoverageCondition, (facts: Facts) => Omit<ConditionFinding, "condition">> = {
    code_compliant_grounding: grounding,
    annual_inspection: annualInspection,
    licensed_installer: licensedInstaller,
    documented_repairs: documentedRepairs,
  };
  return COVERAGE_CONDITIONS.map((condition) => ({ condition, ...of[condition](usable) }));
}

const where = (row: { sectionId: string | null; inverterId: string | null }) =>
  row.sectionId ? `, section ${row.sectionId}` : row.inverterId ? `, inverter ${row.inverterId}` : "";
const inspectionRecord = (row: Inspection) =>
  `inspection of ${row.inspectedAt.day}: ${row.check.replaceAll("_", " ")}${where(row)}, ${row.outcome}${row.value === null ? "" : `, ${row.value} ${row.unit ?? ""}`.trimEnd()}`;

/** Checks whose failure is a defect of bonding or grounding, whatever the code's edition. */
const GROUNDING_CHECKS: ReadonlySet<Check> = new Set([
  "bond_resistance",
  "egc_continuous",
  "egc_size",
  "listed_hardware",
  "section_jumper",
  "all_metal_bonded",
  "electrode_bonded",
  "electrode_depth",
  "aluminum_clear_of_earth",
  "inverter_ground_terminal",
  "battery_electrode",
]);

/** The newest answer of each grounding check at each place; an attempt that could not be made answers nothing. */
function newestAnswers(records: SiteRecords): Inspection[] {
  const newest = new Map<string, Inspection>();
  for (const row of records.inspections) {
    if (!GROUNDING_CHECKS.has(row.check) || row.outcome === "unable") continue;
    newest.set([row.check, row.sectionId, row.inverterId, row.pointA, row.pointB].join("\n"), row);
  }
  return [...newest.values()];
}

const RESTORE_GROUNDING =
  "A qualified person repairs it to the code in force there, under a permit where the authority wants one, measures it with a calibrated instrument and records the pass; ask the carrier before anything is altered.";

function grounding({ records, asOf }: Facts): Omit<ConditionFinding, "condition"> {
  const failed = newestAnswers(records).findLast((row) => row.outcome === "fail");
  if (failed)
    return {
      state: "broken",
      says: "The newest answer of a grounding check at one place is a fail.",
      record: inspectionRecord(failed),
      restores: RESTORE_GROUNDING,
    };
  const conductors = siteConductors(records, asOf);
  const thin = conductors.find((c) => c.verdict.kind === "undersized");
  if (thin && "says" in thin.verdict)
    return {
      state: "broken",
      says: "A grounding conductor is smaller than the code table gives.",
      record: `${thin.role.replaceAll("_", " ")}${where(thin)}: ${thin.verdict.says}`,
      restores: RESTORE_GROUNDING,
    };
  const unlisted = records.sections.find((s) => s.hardwareListed === "no" || s.bondMethod === "none");
  if (unlisted)
    return {
      state: "broken",
      says:
        unlisted.bondMethod === "none"
          ? "A section is recorded as not bonded."
          : "Bonding hardware is recorded as not listed for its module and rail.",
      record: `section ${unlisted.sectionId} in sections.csv`,
      restores: RESTORE_GROUNDING,
    };
  const path = bondingPath(records, asOf);
  const open = path.edges.filter((edge) => edge.status !== "verified").length;
  const notJudged = conductors.filter((c) => c.verdict.kind !== "right").length;
  const notListed = records.sections.filter((s) => s.hardwareListed !== "yes").length;
  if (path.edges.length > 0 && open + notJudged + notListed === 0)
    return {
      state: "met",
      says: "Every link of the grounding path is verified by an inspection, every conductor has its size, all bonding hardware is recorded as listed. Whether it complies is for the authority to say.",
      record: newestAnswers(records).slice(-3).map(inspectionRecord).join("; "),
      restores: null,
    };
  return {
    state: "unknown",
    says: `${open} of ${path.edges.length} links of the grounding path are not verified, ${notJudged} conductors cannot be judged, ${notListed} sections have no record of listed hardware.`,
    record: null,
    restores: "Verify each link by an inspection of that very link, and record sizes and listing.",
  };
}

function annualInspection({ records, asOf }: Facts): Omit<ConditionFinding, "condition"> {
  const today = localDay(asOf, records.site.timeZone);
  const newest = records.inspections.findLast((row) => row.outcome !== "unable");
  if (!newest)
    return {
      state: "unknown",
      says: "No inspection is recorded. One may have been made: ask for its report.",
      record: null,
      restores: "Enter the last inspection's report, or inspect now; ask the carrier whether the gap matters.",
    };
  const nextBy = addMonths(newest.inspectedAt.day, 12);
  if (today <= nextBy)
    return {
      state: "met",
      says: `Last inspected on ${newest.inspectedAt.day}; the next is due by ${nextBy}. Whether it was the inspection that the contract means has to be read there.`,
      record: inspectionRecord(newest),
      restores: null,
    };
  return {
    state: "broken",
    says: `The newest inspection on record is of ${newest.inspectedAt.day}; the next was due by ${nextBy}.`,
    record: inspectionRecord(newest),
    restores:
      "Inspect now and enter the report, or enter a later one that is missing here; ask the carrier whether the gap matters.",
  };
}

function licensedInstaller({ records, papers }: Facts): Omit<ConditionFinding, "condition"> {
  const licence = papers.find((paper) => paper.kind === "installer_licence");
  const installer = records.site.installer ?? "the installer, who is not recorded,";
  if (licence)
    return {
      state: "met",
      says: `A licence of ${installer} is on file. Compare its dates with the day of commissioning (${records.site.commissionedOn ?? "not recorded"}).`,
      record: `paper ${licence.fileName}${licence.page === null ? "" : `, page ${licence.page}`}`,
      restores: null,
    };
  return {
    state: "unknown",
    says: `No licence of ${installer} is on file.`,
    record: null,
    restores: "Attach the licence that was in force on the day of commissioning; the licensing board gives a copy.",
  };
}

function documentedRepairs({ records }: Facts): Omit<ConditionFinding, "condition"> {
  const repairs = records.repairs.filter((row) => row.cause !== "none_found");
  const record = (row: (typeof repairs)[number]) =>
    `repair of ${row.repairedAt.day}: ${row.cause.replaceAll("_", " ")}${where(row)}`;
  if (repairs.length === 0)
    return {
      state: "unknown",
      says: "No repair is recorded. None may have been made, or none written down.",
      record: null,
      restores: "Ask whoever worked on the site, and enter what was done, where, and the test after it.",
    };
  const untested = repairs.findLast((row) => row.testedAfter === "none");
  if (untested)
    return {
      state: "broken",
      says: "A repair is recorded as not tested afterwards.",
      record: record(untested),
      restores: "Test it now with a calibrated instrument and record the reading with the name of the person.",
    };
  const thin = repairs.filter((row) => row.action === null || row.testedAfter === null);
  if (thin.length > 0)
    return {
      state: "unknown",
      says: `${thin.length} of ${repairs.length} repairs lack what was done or the test after it.`,
      record: record(thin.at(-1) as (typeof repairs)[number]),
      restores: "Complete the entries from the work order; where nothing is left of it, test again.",
    };
  return {
    state: "met",
    says: `All ${repairs.length} repairs on record say what was done and how it was tested. A repair that was never entered is not seen here.`,
    record: repairs.slice(-3).map(record).join("; "),
    restores: null,
  };
}
