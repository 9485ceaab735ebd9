import type { Check, Coverage, Instant, SiteRecords } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import { AT_INVERTER, AT_SECTION, type StepList } from "./step-list.ts";

const DAY_MS = 86_400_000;
/** A contract that asks for a yearly inspection gets one this long before the year is over, days. Judgement. */
const YEARLY_AHEAD_DAYS = 45;
const YEAR_DAYS = 365;
/** What was looked at longer ago than this is looked at again, days. Common practice, no source. */
export const DUE_AGAIN_DAYS = 5 * YEAR_DAYS;

/** What an inspection for a contract looks at: metal, conductors, enclosures and the way to the electrode. */
const YEARLY: readonly Check[] = [
  "section_jumper",
  "conductor_condition",
  "connector_condition",
  "enclosure_dry",
  "inverter_ground_terminal",
  "surge_protection",
  "electrode_bonded",
];
/** What shows that grounding follows the code. */
const TO_CODE: readonly Check[] = ["egc_size", "listed_hardware", "all_metal_bonded", "electrode_bonded"];
/** Checks that show a repair of a cause to be whole, closed and connected. */
const AFTER_REPAIR: Partial<Record<string, readonly Check[]>> = {
  open_section_bond: ["section_jumper", "bond_resistance"],
  high_resistance_bond: ["bond_resistance", "bare_metal_contact"],
  isolated_electrode: ["electrode_bonded"],
  egc_undersized: ["egc_size"],
  egc_broken: ["egc_continuous"],
  conductor_insulation: ["insulation_resistance"],
  connector_ingress: ["connector_condition", "insulation_resistance"],
  module_insulation: ["insulation_resistance"],
  surge_damage: ["surge_protection", "insulation_resistance"],
};

/** What warranties and policies in force ask for, and what was inspected so long ago that it is due again. */
export function addCoverage(list: StepList, records: SiteRecords, asOf: Instant): void {
  const today = localDay(asOf, records.site.timeZone);
  const before = records.inspections.filter((row) => row.inspectedAt.at <= asOf);
  for (const cover of records.coverage) {
    if (today < cover.startsOn || today > cover.endsOn) continue;
    if (cover.conditions.includes("code_compliant_grounding"))
      addChecks(
        list,
        records,
        TO_CODE,
        `${nameOf(cover)} asks for grounding to the code; it runs until ${cover.endsOn}.`,
      );
    if (cover.conditions.includes("annual_inspection")) addYearly(list, records, cover, asOf);
    if (cover.conditions.includes("documented_repairs")) addUntested(list, records, cover, asOf);
  }
  const due = new Map<string, (typeof before)[number]>();
  for (const row of before) due.set(JSON.stringify([row.check, row.sectionId, row.inverterId]), row);
  for (const row of due.values()) {
    if (row.outcome !== "pass" || asOf - row.inspectedAt.at <= DUE_AGAIN_DAYS * DAY_MS) continue;
    const place = { sectionId: placeIn(records.sections, row.sectionId, "sectionId") };
    const inverterId = place.sectionId ? null : placeIn(records.inverters, row.inverterId, "inverterId");
    list.add(row.check, place.sectionId, inverterId, `Last looked at on ${row.inspectedAt.day}: due again.`);
  }
}

const nameOf = ({ kind, coverageId }: Coverage) => `${kind.replaceAll("_", " ")} ${coverageId}`;

function placeIn<K extends string>(rows: readonly Record<K, string>[], id: string | null, key: K): string | null {
  return id !== null && rows.some((row) => row[key] === id) ? id : null;
}

function addYearly(list: StepList, records: SiteRecords, cover: Coverage, asOf: Instant): void {
  for (const check of YEARLY) {
    const last = records.inspections
      .filter((row) => row.check === check && row.inspectedAt.at <= asOf && row.outcome !== "unable")
      .at(-1);
    const ageDays = last ? (asOf - last.inspectedAt.at) / DAY_MS : Number.POSITIVE_INFINITY;
    if (ageDays <= YEAR_DAYS - YEARLY_AHEAD_DAYS) continue;
    const since = last ? `the last one was on ${last.inspectedAt.day}` : "none is recorded";
    addChecks(list, records, [check], `${nameOf(cover)} asks for an inspection every year: ${since}.`);
  }
}

function addUntested(list: StepList, { repairs, inverters, sections }: SiteRecords, cover: Coverage, asOf: Instant) {
  for (const { cause, repairedAt, testedAfter, sectionId, inverterId } of repairs) {
    if (repairedAt.at > asOf || (testedAfter !== null && testedAfter !== "none")) continue;
    const why = `${nameOf(cover)} asks for documented repairs: that of ${repairedAt.day} has no test on record.`;
    const section = placeIn(sections, sectionId, "sectionId");
    const inverter = placeIn(inverters, inverterId, "inverterId");
    for (const check of AFTER_REPAIR[cause] ?? [])
      list.add(
        check,
        AT_INVERTER.has(check) ? null : section,
        section && !AT_INVERTER.has(check) ? null : inverter,
        why,
      );
  }
}

/** A check at every place of its kind. */
function addChecks(list: StepList, records: SiteRecords, checks: readonly Check[], why: string): void {
  for (const check of checks) {
    const isSize = check === "egc_size";
    if (AT_SECTION.has(check) || isSize)
      for (const { sectionId } of records.sections) list.add(check, sectionId, null, why);
    if (AT_INVERTER.has(check) || isSize)
      for (const { inverterId } of records.inverters) list.add(check, null, inverterId, why);
    if (!AT_SECTION.has(check) && !AT_INVERTER.has(check) && !isSize) list.add(check, null, null, why);
  }
}
