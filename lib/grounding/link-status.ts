import type { Check, Inspection, Repair, RepairCause, SiteRecords } from "../core/records.ts";
import type { LinkStatus, PathLink, PathLinkKind } from "./path-graph.ts";
import { judgeReading, type ReadingJudgement } from "./reading-judgement.ts";
import { placeOfReading } from "./voltage-first.ts";

/** Checks that look at a kind of link as a whole. Any may fail it; a visual pass verifies it by sight. */
const LOOKED_AT_BY: Record<PathLinkKind, readonly Check[]> = {
  section_bond: ["section_jumper", "bond_resistance"],
  section_egc: ["egc_continuous", "bond_resistance"],
  inverter_egc: ["egc_continuous", "bond_resistance"],
  gec: ["electrode_bonded", "bond_resistance"],
  array_electrode_bond: ["electrode_bonded", "bond_resistance"],
  battery_bond: ["battery_electrode", "bond_resistance"],
  battery_gec: ["bond_resistance"],
  other_metal_bond: ["all_metal_bonded"],
  piece_bond: ["all_metal_bonded", "bond_resistance", "electrode_bonded"],
  further_bond: ["section_jumper", "bond_resistance"],
};
/** Checks that mean such a link only where they name its two points: without them they are of the link beside it. */
const BY_POINTS: Partial<Record<PathLinkKind, readonly Check[]>> = {
  piece_bond: ["bond_resistance", "electrode_bonded", "section_potential"],
  further_bond: ["section_jumper", "bond_resistance", "section_potential"],
};
/**
 * Checks of one part of a link, or of a voltage that stands across it: they can fail it or cast doubt on it, never
 * verify it. A low voltage shows nothing of a bond.
 */
const PART_OF: Record<PathLinkKind, readonly Check[]> = {
  section_bond: ["bare_metal_contact", "section_potential"],
  section_egc: ["section_potential"],
  inverter_egc: ["inverter_ground_terminal", "section_potential"],
  gec: [],
  array_electrode_bond: ["section_potential"],
  battery_bond: [],
  battery_gec: [],
  other_metal_bond: [],
  piece_bond: ["section_potential"],
  further_bond: ["section_potential"],
};

type Reach = "this_link" | "maybe" | "other";

/** Whether an inspection is of this link: by its points where it has them, else by its section and inverter. */
function reach(row: Inspection, link: PathLink, rivals: () => number): Reach {
  if (row.pointA !== null && row.pointB !== null) {
    const straight = row.pointA === link.from && row.pointB === link.to;
    return straight || (row.pointA === link.to && row.pointB === link.from) ? "this_link" : "other";
  }
  if (BY_POINTS[link.kind]?.includes(row.check)) return "other";
  if (link.sectionId !== null) {
    if (row.sectionId !== null) return row.sectionId === link.sectionId ? "this_link" : "other";
    if (row.inverterId !== null) return "other";
  } else if (row.sectionId !== null) return "other";
  if (link.inverterId !== null && row.inverterId !== null)
    return row.inverterId === link.inverterId ? "this_link" : "other";
  if (row.inverterId !== null) return "other";
  return rivals() === 1 ? "this_link" : "maybe";
}

/** What is known of a site as of an instant, for the status of its links. */
export interface LinkRecords {
  links: readonly PathLink[];
  inspections: readonly Inspection[];
  /** The same inspections by `placeOfReading`: only those of one place bear on one another. */
  atPlace: ReadonlyMap<string, readonly Inspection[]>;
  repairs: readonly Repair[];
  records: SiteRecords;
}

/**
 * What the inspections and repairs say of one link. The latest telling record decides; a record that names no place
 * fails every link it may mean and verifies none. A repair after a failure opens the question again, it does not
 * answer it: only a later inspection verifies.
 */
export function linkStatus(link: PathLink, known: LinkRecords): LinkStatus {
  const { links, inspections, records } = known;
  let status = beforeAnyRecord(link);
  const maxDcV = records.inverters.find((inverter) => inverter.inverterId === link.inverterId)?.maxDcV ?? null;
  for (const row of inspections) {
    const whole = LOOKED_AT_BY[link.kind].includes(row.check);
    if (!whole && !PART_OF[link.kind].includes(row.check)) continue;
    const rivals = () =>
      links.filter((other) => LOOKED_AT_BY[other.kind].includes(row.check) || PART_OF[other.kind].includes(row.check))
        .length;
    const found = reach(row, link, rivals);
    if (found === "other") continue;
    const judgement = judgeReading(row, {
      others: known.atPlace.get(placeOfReading(row)) ?? [],
      maxDcV,
      electrode: records.site.electrode,
    });
    status = afterRecord(status, { row, found, whole, absent: link.absent, judgement });
  }
  return reopenedByRepair(link, status, known.repairs);
}

/**
 * What is known of one part of a run that further pieces stand in: by records that name its own two points, and by those
 * of the run as a whole. The later of the two decides, but a look along the whole run outweighs no failure of a part. What
 * was read over the whole run is no resistance of a part.
 */
export function partStatus(part: PathLink, run: LinkStatus, known: LinkRecords): LinkStatus {
  const inspections = known.inspections.filter((row) => row.pointA !== null && row.pointB !== null);
  const own = linkStatus(part, { ...known, inspections, repairs: [] });
  const ownLater = own.decidedAt !== null && (run.decidedAt === null || own.decidedAt >= run.decidedAt);
  if (ownLater || (own.status === "failed" && run.by === "sight")) return own;
  const { status, by, decidedAt, record, certain } = run;
  const read = own.status === "verified" && status === "verified" ? own.measuredOhm : null;
  const says = decidedAt === null ? run.says : `${run.says} Said of the whole run.`;
  return { status, by, decidedAt, record, certain, measuredOhm: read, says };
}

function beforeAnyRecord(link: PathLink): LinkStatus {
  const unknown = link.recorded ? "Recorded, never inspected." : "Not recorded and never inspected.";
  return {
    status: link.absent ? "missing" : "unverified",
    by: null,
    decidedAt: null,
    record: null,
    measuredOhm: null,
    certain: true,
    says: link.absent ? "Recorded as not there." : unknown,
  };
}

interface Telling {
  row: Inspection;
  found: Exclude<Reach, "other">;
  whole: boolean;
  absent: boolean;
  judgement: ReadingJudgement;
}

/** What is known of a link once one more record of it has been heard. */
function afterRecord(status: LinkStatus, { row, found, whole, absent, judgement }: Telling): LinkStatus {
  const { verdict, reasons } = judgement;
  const decided = { by: null, decidedAt: row.inspectedAt.at, record: row, measuredOhm: null, certain: true };
  const on = `on ${row.inspectedAt.day}`;
  if (verdict === "fail" || verdict === "stop") {
    const where =
      found === "maybe" ? " The record does not say where, so every link it may mean counts as failed." : "";
    return {
      ...decided,
      status: "failed",
      certain: found === "this_link",
      says: `Failed ${on}. ${reasons.join(" ")}${where}`,
    };
  }
  if (verdict === "pass" && whole && found === "this_link") {
    if (row.value !== null) {
      const says = `Measured ${on}. ${reasons.join(" ")}`;
      return { ...decided, status: "verified", by: "measurement", measuredOhm: ohmsOf(row), says };
    }
    // A look does not outweigh a measurement or a sighting that failed.
    if (status.status === "failed") return status;
    const { measuredOhm } = status;
    const before = measuredOhm === null ? "not measured" : `measured before, ${measuredOhm} ohm`;
    return { ...decided, status: "verified", by: "sight", measuredOhm, says: `Seen sound ${on}; ${before}.` };
  }
  if (verdict === "watch" && status.status !== "failed" && status.status !== "missing")
    return { ...decided, status: "unverified", says: `Doubtful ${on}. ${reasons.join(" ")}` };
  if (status.decidedAt === null && !absent)
    return { ...status, says: `${status.says} A record ${on} could not settle it.` };
  return status;
}

/** A resistance reading in ohm; null for a reading of anything else. */
function ohmsOf(row: Inspection): number | null {
  const factor = row.unit === "ohm" ? 1 : row.unit === "kohm" ? 1e3 : row.unit === "megohm" ? 1e6 : null;
  return factor === null || row.value === null ? null : Number(row.value) * factor;
}

function reopenedByRepair(link: PathLink, status: LinkStatus, repairs: readonly Repair[]): LinkStatus {
  if (status.status !== "failed" && status.status !== "missing") return status;
  const repair = repairs.findLast(
    (row) =>
      REPAIRED_BY[link.kind].includes(row.cause) &&
      (status.decidedAt === null || row.repairedAt.at > status.decidedAt) &&
      row.confirmed === "yes" &&
      (row.testedAfter === "continuity" || row.testedAfter === "both") &&
      (link.sectionId === null || row.sectionId === link.sectionId) &&
      (link.kind !== "inverter_egc" || row.inverterId === link.inverterId),
  );
  if (!repair) return status;
  return {
    status: "unverified",
    by: null,
    decidedAt: repair.repairedAt.at,
    record: null,
    measuredOhm: null,
    certain: true,
    says: `Repaired and tested on ${repair.repairedAt.day}; no reading of this link since.`,
  };
}

/** Repairs that can answer for a kind of link. */
const REPAIRED_BY: Record<PathLinkKind, readonly RepairCause[]> = {
  section_bond: ["open_section_bond", "high_resistance_bond"],
  section_egc: ["egc_broken", "egc_undersized", "high_resistance_bond"],
  inverter_egc: ["egc_broken", "egc_undersized", "high_resistance_bond"],
  gec: ["isolated_electrode"],
  array_electrode_bond: ["isolated_electrode"],
  battery_bond: ["isolated_electrode"],
  battery_gec: ["isolated_electrode"],
  other_metal_bond: ["open_section_bond", "high_resistance_bond"],
  piece_bond: ["open_section_bond", "high_resistance_bond"],
  further_bond: ["open_section_bond", "high_resistance_bond"],
};
