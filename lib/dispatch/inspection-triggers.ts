import {
  BONDING_CAUSES,
  CAUSES,
  type Inspection,
  type Instant,
  OTHER_CAUSES,
  type SiteRecords,
} from "../core/records.ts";
import { runningInsulationKohm } from "../grounding/limits.ts";
import { judgeReading } from "../grounding/reading-judgement.ts";
import { samePoints } from "../grounding/voltage-first.ts";
import { clearedByRepair, strictlyLater } from "./cleared.ts";
import type { MakeSafeTrigger } from "./make-safe-trigger.ts";

const EGC_CAUSES = ["egc_broken", "high_resistance_bond"] as const;
const INSULATION_CAUSES = OTHER_CAUSES.filter((cause) => cause !== "detector_fault");

/** Make-safe facts among the inspections: see makeSafeTriggers for what clears them. */
export function inspectionTriggers(records: SiteRecords, asOf: Instant): MakeSafeTrigger[] {
  const rows = records.inspections.filter((row) => row.inspectedAt.at <= asOf);
  return rows.flatMap((row) => {
    const found = [
      potential(row, rows, records, asOf),
      openEgc(row, rows, records, asOf),
      lowInsulation(row, records, asOf),
      hazardReport(row, records, asOf),
    ];
    return found.filter((item) => item !== null);
  });
}

/** Ids of one kind that a row names by its columns or its points. */
function named(row: Inspection, kind: "section" | "inverter"): string[] {
  const points = [row.pointA, row.pointB]
    .filter((point) => point?.startsWith(`${kind}:`))
    .map((point) => (point as string).slice(kind.length + 1));
  const own = kind === "section" ? row.sectionId : row.inverterId;
  return [...new Set(own === null ? points : [own, ...points])];
}

const at = (row: Inspection) => ({
  since: row.inspectedAt.at,
  sectionId: named(row, "section")[0] ?? null,
  inverterId: named(row, "inverter")[0] ?? null,
});
const placeOf = (row: Inspection) => ({
  found: row.inspectedAt,
  sectionIds: named(row, "section"),
  inverterId: named(row, "inverter")[0] ?? null,
});

const between = (row: Inspection) =>
  row.pointA !== null && row.pointB !== null
    ? ` between ${row.pointA} and ${row.pointB}`
    : row.sectionId !== null
      ? ` at section ${row.sectionId}`
      : "";

function potential(row: Inspection, rows: Inspection[], records: SiteRecords, asOf: Instant): MakeSafeTrigger | null {
  if (row.unit !== "volt" && row.check !== "section_potential") return null;
  const { verdict } = judgeReading(row, { others: rows, maxDcV: null, electrode: records.site.electrode });
  const unmeasured = row.check === "section_potential" && row.outcome === "fail" && row.value === null;
  if (verdict !== "stop" && !unmeasured) return null;
  const place = at(row);
  // Both families can put a voltage on metal, so a repair of either with continuity shown may answer.
  if (clearedByRepair(records, { ...placeOf(row), test: "continuity", causes: CAUSES }, asOf)) return null;
  if (
    unmeasured &&
    rows.some(
      (later) =>
        later.unit === "volt" &&
        later.value !== null &&
        samePoints(later, row) &&
        strictlyLater(later.inspectedAt, row.inspectedAt),
    )
  )
    return null;
  const what = unmeasured
    ? "A potential on metal was recorded as failed without its voltage, which counts as reaching the limit"
    : `${row.value} V${row.quantity === "dc" ? " DC" : row.quantity === "ac_rms" ? " AC rms" : ""} was measured`;
  return {
    trigger: "stop_potential",
    reason: `${what}${between(row)} on ${row.inspectedAt.day}. No confirmed and tested repair is recorded since.`,
    ...place,
  };
}

function openEgc(row: Inspection, rows: Inspection[], records: SiteRecords, asOf: Instant): MakeSafeTrigger | null {
  if (row.check !== "egc_continuous") return null;
  const { verdict } = judgeReading(row, { others: rows, maxDcV: null, electrode: records.site.electrode });
  if (verdict !== "fail") return null;
  const place = at(row);
  if (clearedByRepair(records, { ...placeOf(row), test: "continuity", causes: EGC_CAUSES }, asOf)) return null;
  const passed = rows.some(
    (later) =>
      later.check === "egc_continuous" &&
      strictlyLater(later.inspectedAt, row.inspectedAt) &&
      samePoints(later, row) &&
      later.sectionId === row.sectionId &&
      later.inverterId === row.inverterId &&
      later.value !== null &&
      later.inspectorLicence !== null &&
      judgeReading(later, { others: rows, maxDcV: null, electrode: records.site.electrode }).verdict === "pass",
  );
  if (passed) return null;
  return {
    trigger: "open_egc",
    reason: `The equipment grounding conductor${between(row)} was found open on ${row.inspectedAt.day}, and the array is live in light. No confirmed and tested repair is recorded since.`,
    ...place,
  };
}

function lowInsulation(row: Inspection, records: SiteRecords, asOf: Instant): MakeSafeTrigger | null {
  if (row.check !== "insulation_resistance" || row.value === null || row.unit === null) return null;
  const scale = row.unit === "ohm" ? 1e-3 : row.unit === "kohm" ? 1 : row.unit === "megohm" ? 1e3 : Number.NaN;
  const kohm = Number(row.value) * scale;
  if (!Number.isFinite(kohm) || kohm < 0) return null;
  const inverterId =
    row.inverterId ?? records.sections.find((section) => section.sectionId === row.sectionId)?.inverterId ?? null;
  const inverter =
    records.inverters.find((each) => each.inverterId === inverterId) ??
    (records.inverters.length === 1 ? records.inverters[0] : undefined);
  const limit = runningInsulationKohm(inverter?.maxDcV ?? null, inverter?.insulationLimitKohm ?? null);
  if (kohm >= limit) return null;
  const place = at(row);
  if (clearedByRepair(records, { ...placeOf(row), test: "insulation", causes: INSULATION_CAUSES }, asOf)) return null;
  return {
    trigger: "insulation_low",
    reason: `Array insulation of ${round(kohm)} kohm was measured${between(row)} on ${row.inspectedAt.day}, below the ${round(limit)} kohm with which an inverter may run.`,
    ...place,
  };
}

const round = (value: number) => Number(value.toPrecision(3));

const REPORT =
  /\b(shock(?:s|ed)?(?! (?:hazard|risk|protection))|tingl(?:e|es|ed|ing)|arcing|sparks?|sparking|burn(?:t|ed|ing)?(?: (?:marks?|smell))?|scorch(?:ed|ing)?|smok(?:e|ing)(?! (?:detector|alarm)))\b/gi;
const DENIED = /\b(no|not|without|never|none|nothing|any|free of)\b[^.;,]{0,30}$/i;

/** The first word of a note that reports a hazard and is not denied just before it. */
function reported(note: string): string | null {
  for (const match of note.matchAll(REPORT)) if (!DENIED.test(note.slice(0, match.index))) return match[0];
  return null;
}

/** A note in which a person reports shock, arcing, burning or smoke. */
function hazardReport(row: Inspection, records: SiteRecords, asOf: Instant): MakeSafeTrigger | null {
  const word = row.note === null ? null : reported(row.note);
  if (word === null) return null;
  const place = at(row);
  const cleared = (test: "continuity" | "insulation") =>
    clearedByRepair(records, { ...placeOf(row), test, causes: [...BONDING_CAUSES, ...OTHER_CAUSES] }, asOf);
  if (cleared("continuity") || cleared("insulation")) return null;
  return {
    trigger: "hazard_report",
    reason: `A note of ${row.inspectedAt.day} reports "${word}". No confirmed and tested repair is recorded since.`,
    ...place,
  };
}
