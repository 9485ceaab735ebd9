import type { Check, Inspection, Repair, RepairCause, SiteRecords } from "../core/records.ts";
import type { LinkStatus, PathLink, PathLinkKind } from "./path-graph.ts";
import { judgeReading } from "./reading-judgement.ts";

/** Checks that look at a kind of link as a whole. Any may fail it; a visual pass verifies it by sight. */
const LOOKED_AT_BY: Record<PathLinkKind, readonly Check[]> = {
  section_bond: ["section_jumper", "bond_resistance"],
  section_egc: ["egc_continuous", "bond_resistance"],
  inverter_egc: ["egc_continuous", "bond_resistance"],
  gec: ["electrode_bonded", "bond_resistance"],
  array_electrode_bond: ["electrode_bonded", "bond_resistance"],
  battery_bond: ["battery_electrode", "bond_resistance"],
  other_metal_bond: ["all_metal_bonded"],
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
  other_metal_bond: [],
};

type Reach = "this_link" | "maybe" | "other";

/** Whether an inspection is of this link: by its points where it has them, else by its section and inverter. */
function reach(row: Inspection, link: PathLink, rivals: () => number): Reach {
  if (row.pointA !== null && row.pointB !== null) {
    const straight = row.pointA === link.from && row.pointB === link.to;
    return straight || (row.pointA === link.to && row.pointB === link.from) ? "this_link" : "other";
  }
  if (link.sectionId !== null) {
    if (row.sectionId !== null) return row.sectionId === link.sectionId ? "this_link" : "other";
    if (row.inverterId !== null) return "other";
  } else if (row.sectionId !== null) return "other";
  if (link.inverterId !== null && row.inverterId !== null)
    return row.inverterId === link.inverterId ? "this_link" : "other";
  if (row.inverterId !== null) return "other";
  return rivals() === 1 ? "this_link" : "maybe";
}

/**
 * What the inspections and repairs say of one link. The latest telling record decides; a record that names no place
 * fails every link it may mean and verifies none. A repair after a failure opens the question again, it does not
 * answer it: only a later inspection verifies.
 */
export function linkStatus(
  link: PathLink,
  links: readonly PathLink[],
  inspections: readonly Inspection[],
  repairs: readonly Repair[],
  records: SiteRecords,
): LinkStatus {
  let status: LinkStatus = link.absent
    ? { status: "missing", by: null, decidedAt: null, says: "Recorded as not there." }
    : {
        status: "unverified",
        by: null,
        decidedAt: null,
        says: link.recorded ? "Recorded, never inspected." : "Not recorded and never inspected.",
      };
  const maxDcV = records.inverters.find((inverter) => inverter.inverterId === link.inverterId)?.maxDcV ?? null;
  for (const row of inspections) {
    const whole = LOOKED_AT_BY[link.kind].includes(row.check);
    if (!whole && !PART_OF[link.kind].includes(row.check)) continue;
    const rivals = () =>
      links.filter((other) => LOOKED_AT_BY[other.kind].includes(row.check) || PART_OF[other.kind].includes(row.check))
        .length;
    const found = reach(row, link, rivals);
    if (found === "other") continue;
    const { verdict, reasons } = judgeReading(row, { others: inspections, maxDcV, electrode: records.site.electrode });
    const decidedAt = row.inspectedAt.at;
    const on = `on ${row.inspectedAt.day}`;
    if (verdict === "fail" || verdict === "stop") {
      const where =
        found === "maybe" ? " The record does not say where, so every link it may mean counts as failed." : "";
      status = { status: "failed", by: null, decidedAt, says: `Failed ${on}. ${reasons.join(" ")}${where}` };
    } else if (verdict === "pass" && whole && found === "this_link") {
      const by = row.value === null ? "sight" : "measurement";
      // A look does not outweigh a measurement or a sighting that failed.
      if (by === "sight" && status.status === "failed") continue;
      status = {
        status: "verified",
        by,
        decidedAt,
        says: by === "sight" ? `Seen sound ${on}; not measured.` : `Measured ${on}. ${reasons.join(" ")}`,
      };
    } else if (verdict === "watch" && status.status !== "failed" && status.status !== "missing") {
      status = { status: "unverified", by: null, decidedAt, says: `Doubtful ${on}. ${reasons.join(" ")}` };
    } else if (status.decidedAt === null && !link.absent) {
      status = { ...status, says: `${status.says} A record ${on} could not settle it.` };
    }
  }
  return reopenedByRepair(link, status, repairs);
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
  other_metal_bond: ["open_section_bond", "high_resistance_bond"],
};
