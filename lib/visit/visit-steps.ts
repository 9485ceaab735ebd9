import { type Banded, bandedText } from "../core/banded.ts";
import { CAUSES, type Cause, type Check, type Instant, type SiteRecords } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { CHECKS_FOR_ITEM } from "../coverage/completeness.ts";
import { claimSince, evidenceItems } from "../coverage/completeness-items.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import type { ProposedCheck } from "../diagnose/expected-information.ts";
import { type BondingPath, bondingPath } from "../grounding/bonding-path.ts";
import type { PathEdge, PathLinkKind } from "../grounding/path-graph.ts";
import { type JudgedConductor, siteConductors } from "../grounding/site-conductors.ts";
import { addCoverage } from "./coverage-steps.ts";
import { AT_INVERTER, AT_SECTION, StepList, type VisitStep } from "./step-list.ts";

/** Checks that look for a cause, most telling first. */
export const CHECKS_FOR_CAUSE: Record<Cause, readonly Check[]> = {
  open_section_bond: ["section_jumper", "bond_resistance", "all_metal_bonded"],
  high_resistance_bond: ["bond_resistance", "bare_metal_contact", "listed_hardware"],
  isolated_electrode: ["electrode_bonded", "electrode_resistance", "electrode_depth"],
  egc_undersized: ["egc_size"],
  egc_broken: ["egc_continuous", "inverter_ground_terminal"],
  conductor_insulation: ["conductor_condition", "insulation_resistance"],
  connector_ingress: ["connector_condition", "enclosure_dry", "insulation_resistance"],
  module_insulation: ["insulation_resistance"],
  surge_damage: ["surge_protection", "insulation_resistance"],
  detector_fault: ["insulation_resistance"],
};

const CHECKS_FOR_LINK: Record<PathLinkKind, readonly Check[]> = {
  section_bond: ["section_jumper", "bare_metal_contact", "bond_resistance"],
  section_egc: ["egc_continuous"],
  inverter_egc: ["inverter_ground_terminal", "egc_continuous"],
  gec: ["electrode_bonded"],
  array_electrode_bond: ["electrode_bonded"],
  battery_bond: ["battery_electrode"],
  battery_gec: ["battery_electrode"],
  other_metal_bond: ["all_metal_bonded"],
  piece_bond: ["all_metal_bonded"],
  further_bond: ["section_jumper"],
};

/** A cause counts as a lead from here on. */
export const LEAD_PROBABILITY = 0.1;

const STATUS_WORDS: Record<PathEdge["status"], string> = {
  verified: "verified",
  unverified: "not verified",
  failed: "failed",
  missing: "missing",
};

export interface VisitStepsInput {
  records: SiteRecords;
  diagnosis: Diagnosis;
  correlation: SiteCorrelation;
  asOf: Instant;
  /** Checks that are expected to tell most, best first. */
  nextTests?: readonly ProposedCheck[];
  /** Leaves out what contracts ask for and what is merely due again: an emergency is not made longer by them. */
  emergency?: boolean;
  /** What `siteWiring` gives for these records; absent: it is worked out. */
  wiring?: SiteWiring;
}

/** What is known of the way to ground and of the conductors in it. */
export interface SiteWiring {
  path: BondingPath;
  conductors: JudgedConductor[];
}

export const siteWiring = (records: SiteRecords, asOf: Instant): SiteWiring => ({
  path: bondingPath(records, asOf),
  conductors: siteConductors(records, asOf),
});

/**
 * Everything worth doing at a site as of an instant: a voltage reading at every place before anything else there,
 * the links that are not verified, the conductors that cannot be judged or are too thin, the checks for the leading
 * causes and for the weather behind the trips, what the diagnosis would learn most from, what contracts ask for, what is
 * due again, and what the records leave open. Unordered; `checklistFor` puts it in walking order.
 */
export function visitSteps({
  records,
  diagnosis,
  correlation,
  asOf,
  nextTests = [],
  emergency = false,
  wiring = siteWiring(records, asOf),
}: VisitStepsInput): SiteWiring & { steps: VisitStep[] } {
  const list = new StepList();
  const { path, conductors } = wiring;
  for (const edge of path.edges) {
    if (edge.status === "verified") continue;
    for (const check of CHECKS_FOR_LINK[edge.kind])
      list.add(
        check,
        edge.sectionId,
        edge.sectionId ? null : edge.inverterId,
        `${edge.from} to ${edge.to} is ${STATUS_WORDS[edge.status]}.`,
        edge.status === "failed" ? 0 : edge.status === "missing" ? 2 : 3,
      );
  }
  for (const conductor of conductors) addConductor(list, conductor);
  const lead = CAUSES.reduce((best, cause) => (diagnosis.causes[cause] > diagnosis.causes[best] ? cause : best));
  for (const cause of CAUSES) {
    const p = diagnosis.causes[cause];
    if (p >= LEAD_PROBABILITY)
      addCause(list, records, cause, { p, ...diagnosis.causeBands[cause] }, cause === lead ? 2 : 3);
  }
  addWeather(list, records, correlation);
  addOpenQuestions(list, records);
  for (const { check, sectionId, inverterId } of nextTests)
    list.add(check, sectionId, inverterId, "It is among the checks that would tell most about this site.", 0);
  if (!emergency) {
    addCoverage(list, records, asOf);
    addMissingEvidence(list, records, asOf);
  }
  addPotentials(list, records);
  return { steps: list.all(), path, conductors };
}

function addConductor(list: StepList, conductor: JudgedConductor): void {
  const { verdict } = conductor;
  // A size on file may be another than the one on the wall.
  if (verdict.kind === "right" && conductor.fromInspection) return;
  const why =
    verdict.kind === "edition_not_loaded"
      ? "The site's code edition is not known, so no size can be judged."
      : verdict.kind === "right"
        ? "The size is on file and was never read on site."
        : verdict.says;
  if (conductor.role === "gec")
    list.add("electrode_bonded", null, null, `${conductor.name ?? "Grounding electrode conductor"}: ${why}`);
  else list.add("egc_size", conductor.sectionId, conductor.sectionId ? null : conductor.inverterId, why);
}

function addCause(list: StepList, records: SiteRecords, cause: Cause, chance: Banded, level: 2 | 3): void {
  const why = `${cause.replaceAll("_", " ")} has probability ${bandedText(chance)}.`;
  for (const check of CHECKS_FOR_CAUSE[cause]) {
    const conductorCheck = check === "egc_size" || check === "egc_continuous";
    if (AT_SECTION.has(check) || conductorCheck)
      for (const section of records.sections) list.add(check, section.sectionId, null, why, level);
    if (AT_INVERTER.has(check) || conductorCheck)
      for (const inverter of records.inverters) list.add(check, null, inverter.inverterId, why, level);
    if (!AT_SECTION.has(check) && !AT_INVERTER.has(check) && !conductorCheck) list.add(check, null, null, why, level);
  }
}

/** What the weather behind the trips asks for, whatever the leading cause. */
function addWeather(list: StepList, records: SiteRecords, correlation: SiteCorrelation): void {
  const { driver } = correlation.weather;
  if (driver === "rain" || driver === "dew" || driver === "any_wet") {
    const why = "Ground faults here follow the wet.";
    for (const section of records.sections) {
      for (const check of ["connector_condition", "conductor_condition", "enclosure_dry"] as const) {
        list.add(check, section.sectionId, null, why);
      }
    }
  }
  if (driver === "thunder") {
    for (const inverter of records.inverters) {
      list.add("surge_protection", null, inverter.inverterId, "Ground faults here follow thunder.");
    }
  }
}

function addOpenQuestions(list: StepList, records: SiteRecords): void {
  const { site } = records;
  for (const section of records.sections) {
    if (section.hardwareListed === "no")
      list.add("listed_hardware", section.sectionId, null, "The bonding hardware is recorded as not listed.");
    else if (section.hardwareListed !== "yes")
      list.add(
        "listed_hardware",
        section.sectionId,
        null,
        "It is not recorded whether the bonding hardware is listed.",
      );
    if (section.egcMaterial === "aluminum")
      list.add("aluminum_clear_of_earth", null, null, `Section ${section.sectionId} has an aluminum conductor.`);
  }
  if (site.gecMaterial === "aluminum")
    list.add("aluminum_clear_of_earth", null, null, "The grounding electrode conductor is aluminum.");
  const rodOrUnknown = site.electrode === "rod" || site.electrode === "unknown" || site.electrode === null;
  if (rodOrUnknown && site.electrodeLengthFt === null)
    list.add("electrode_depth", null, null, "The electrode's length in soil is not recorded.");
  if (rodOrUnknown && site.electrodeLengthFt !== null && site.electrodeLengthFt < 8)
    list.add("electrode_depth", null, null, `The electrode is recorded as ${site.electrodeLengthFt} ft long.`);
  if (site.separateArrayElectrode !== "none") {
    const known = site.separateArrayElectrode === "bonded" || site.separateArrayElectrode === "not_bonded";
    list.add(
      "electrode_bonded",
      null,
      null,
      known
        ? "The array has an electrode of its own."
        : "It is not recorded whether the array has an electrode of its own.",
    );
  }
  if (site.battery === "unknown" || site.battery === null)
    list.add(
      "battery_electrode",
      null,
      null,
      "It is not recorded whether there is a battery: if there is none, write that.",
    );
}

/**
 * Evidence that a warranty or policy in force lacks and a visit can get. On a claim site its checks are added; elsewhere
 * those that are on the list anyway say so, because nobody drives out for a photo alone.
 */
function addMissingEvidence(list: StepList, records: SiteRecords, asOf: Instant): void {
  const claims = records.claims ?? [];
  const today = localDay(asOf, records.site.timeZone);
  if (claims.length === 0 && !records.coverage.some((c) => c.startsOn <= today && today <= c.endsOn)) return;
  const found = evidenceItems({
    records,
    faultRows: records.faults.length,
    photos: records.inspections.filter((row) => row.photo !== null).map((row) => ({ takenAt: row.inspectedAt.at })),
    custody: [],
    clockProved: null,
    weatherKnown: null,
    since: claimSince(claims),
  });
  for (const { item, present } of found) {
    const got = CHECKS_FOR_ITEM[item];
    if (present || !got) continue;
    for (const check of got.checks) {
      if (claims.length > 0) {
        const why = "A claim is open for this site.";
        if (AT_SECTION.has(check))
          for (const section of records.sections) list.add(check, section.sectionId, null, why, 2);
        else list.add(check, null, null, why, 2);
      }
      list.noteForCoverage(check, got.says);
    }
  }
}

/** A voltage reading wherever somebody will work, before anything else there. */
function addPotentials(list: StepList, records: SiteRecords): void {
  list.add("section_potential", null, null, "Nobody touches metal here before it has been measured.");
  for (const inverter of records.inverters)
    list.add(
      "section_potential",
      null,
      inverter.inverterId,
      "Nobody touches the enclosure before it has been measured.",
    );
  for (const section of records.sections)
    list.add(
      "section_potential",
      section.sectionId,
      null,
      "Nobody touches frames or rails before they have been measured.",
    );
}
