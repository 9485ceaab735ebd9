import { bandedText } from "../core/banded.ts";
import type { Instant, SiteRecords } from "../core/records.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import { judgeReading } from "../grounding/reading-judgement.ts";
import { clearedByRepair } from "./cleared.ts";
import type { DispatchParameters } from "./dispatch-parameters.ts";
import { makeSafeTriggers } from "./make-safe.ts";
import type { MakeSafeTrigger } from "./make-safe-trigger.ts";

export const URGENCIES = ["make_safe", "urgent", "planned"] as const;
export type Urgency = (typeof URGENCIES)[number];

export interface UrgencyFinding {
  urgency: Urgency;
  /** Sentences for make_safe and urgent; empty for planned. */
  reasons: string[];
  triggers: MakeSafeTrigger[];
}

/**
 * How soon somebody must go.
 *
 * make_safe: any trigger of makeSafeTriggers. urgent: P(bonding defect) or P(energised metal) at or above its limit,
 * lower limits where the public may reach the metal or it is not recorded who can; or an insulation or bond reading
 * that failed and no confirmed, tested repair answers. planned: the rest; whether it is worth a trip is decided
 * elsewhere.
 */
export function urgencyOf(
  records: SiteRecords,
  diagnosis: Diagnosis,
  asOf: Instant,
  params: DispatchParameters,
): UrgencyFinding {
  const triggers = makeSafeTriggers(records, diagnosis, asOf, params);
  const reasons = [
    ...new Set([
      ...triggers.map((trigger) => trigger.reason),
      ...urgentReasons(records, diagnosis, asOf, params, triggers),
    ]),
  ];
  if (triggers.length > 0) return { urgency: "make_safe", reasons, triggers };
  return { urgency: reasons.length > 0 ? "urgent" : "planned", reasons, triggers };
}

function urgentReasons(
  records: SiteRecords,
  diagnosis: Diagnosis,
  asOf: Instant,
  params: DispatchParameters,
  triggers: readonly MakeSafeTrigger[],
): string[] {
  const { access } = records.site;
  const inReach = access === null || access === "public";
  const limits = inReach ? params.urgentPublic : params.urgentOther;
  const who =
    access === null
      ? "; it is not recorded who can reach the metal, which counts as public"
      : inReach
        ? "; the public can reach the metal"
        : "";
  const reasons: string[] = [];
  const { bondingDefect: bonding, energizedMetal: energized } = diagnosis;
  if (bonding.p >= limits.bonding)
    reasons.push(`A bonding or grounding defect has probability ${bandedText(bonding)}${who}.`);
  // What calls for making safe has said it already.
  const isSaid = triggers.some(({ trigger }) => trigger === "energized_metal");
  if (energized.p >= limits.energized && !isSaid)
    reasons.push(`Energised metal has probability ${bandedText(energized)}${who}.`);
  return [...reasons, ...failedReadings(records, asOf)];
}

/** The latest row of each place and check, where it failed and nothing answered it since. */
function failedReadings(records: SiteRecords, asOf: Instant): string[] {
  const latest = new Map<string, SiteRecords["inspections"][number]>();
  for (const row of records.inspections) {
    if (row.inspectedAt.at > asOf || row.outcome === "unable") continue;
    if (row.check !== "insulation_resistance" && row.check !== "bond_resistance") continue;
    latest.set([row.check, row.sectionId, row.inverterId, row.pointA, row.pointB].join("\n"), row);
  }
  const reasons: string[] = [];
  for (const row of latest.values()) {
    const maxDcV = records.inverters.find((inverter) => inverter.inverterId === row.inverterId)?.maxDcV ?? null;
    if (
      judgeReading(row, { others: records.inspections, maxDcV, electrode: records.site.electrode }).verdict !== "fail"
    )
      continue;
    const insulation = row.check === "insulation_resistance";
    const clearing = {
      found: row.inspectedAt,
      sectionIds: row.sectionId === null ? [] : [row.sectionId],
      inverterId: row.inverterId,
    };
    const causes = insulation
      ? (["conductor_insulation", "connector_ingress", "module_insulation", "surge_damage"] as const)
      : (["open_section_bond", "high_resistance_bond", "isolated_electrode", "egc_broken"] as const);
    if (clearedByRepair(records, { ...clearing, test: insulation ? "insulation" : "continuity", causes }, asOf))
      continue;
    reasons.push(
      `${insulation ? "Insulation" : "A bond"}${row.sectionId ? ` of section ${row.sectionId}` : ""} failed on ${row.inspectedAt.day} and no confirmed and tested repair is recorded since.`,
    );
  }
  return reasons;
}
