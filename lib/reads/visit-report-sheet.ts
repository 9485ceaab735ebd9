import { CHECKS, type SiteRecords } from "../core/records.ts";
import { bothIn, readingIn, type Units } from "../core/units.ts";
import { isoInZone } from "../core/zoned-time.ts";
import { BEFORE_WORK, CAUTIONS } from "../grounding/cautions.ts";
import { CHECK_CATALOGUE } from "../grounding/check-catalogue.ts";
import { codeReference } from "../grounding/code-reference.ts";
import type { SheetCheck, SheetPhoto, SheetSignature, VisitSheet } from "../report/visit-sheet.ts";
import { type JudgedReading, judgedReadings } from "../visit/judged-readings.ts";
import type { ResolvedField } from "../visit/resolution.ts";
import { signOffs } from "../visit/signature.ts";
import { isStopReading, standingStops } from "../visit/stop-rule.ts";
import { isNamed, type MergedField, type VisitEdit } from "../visit/visit-edits.ts";
import { itemKey, mergedVisit, partsOfItem, voltReadings, WHOLE_VISIT } from "../visit/visit-records.ts";
import { sheetFooter, siteFacts } from "./checklist-sheet.ts";
import type { ChecklistItem } from "./documents.ts";
import { checkTitle, SheetCautions } from "./sheet-checks.ts";
import type { KeptPhoto } from "./visit-photos.ts";
import type { VisitView } from "./visits-view.ts";

/** Everything that a visit left, as collected. */
export interface VisitFacts {
  visitId: string;
  site: VisitView["site"];
  /** Of who reads it. */
  units: Units;
  records: SiteRecords;
  /** What was asked of it; empty where that is not on record. */
  checklist: readonly ChecklistItem[];
  edits: readonly VisitEdit[];
  photos: readonly (KeptPhoto & { jpeg: Uint8Array | null })[];
}

const words = (name: string) => name.replaceAll("_", " ");
const person = (by: string | null) => (by !== null && isNamed(by) ? by : "a person not named");

/** The report of a visit: what was asked, what was found, by whom and with what. Times are local, with offset and zone. */
export function visitReportSheet(facts: VisitFacts, madeAt: number): VisitSheet {
  const { site, visitId, edits } = facts;
  const at = (instant: number) => `${isoInZone(instant, site.timeZone)} (${site.timeZone})`;
  const merged = mergedVisit(edits);
  const readings = judgedReadings(facts.records, edits);
  const cautions = new SheetCautions();
  const items = itemsOf(facts, merged);
  const checks = items.map((item) => foundCheck(item, { facts, merged, readings, cautions, at }));
  return {
    title: "Visit report",
    subtitle: site.name,
    madeAt,
    footer: sheetFooter(site, visitId),
    facts: [["Visit", visitId], ...siteFacts(site), ["Made at", at(madeAt)], ["Checks", String(checks.length)]],
    cover: [
      { heading: "Found and done", paragraphs: foundAndDone(merged) },
      { heading: "Stop readings", paragraphs: stopLines(edits, at) },
      course(edits, at),
      { heading: "Cautions that hold for whoever comes next", paragraphs: BEFORE_WORK.map((id) => CAUTIONS[id]) },
    ],
    ...cautions.lists(),
    checks,
    signatures: signatures(edits, at),
    photos: photosOf(facts, at),
  };
}

/** The checklist, and after it whatever else somebody wrote something for. */
function itemsOf({ checklist, records, photos }: VisitFacts, merged: readonly MergedField[]): ChecklistItem[] {
  const asked = new Set(checklist.map((item) => itemKey(item.check, item.section_id, item.inverter_id)));
  const written = new Set([...merged.map((one) => one.item), ...photos.map((one) => one.item)]);
  const more = [...written].flatMap((key): ChecklistItem[] => {
    const [name, section, inverter] = partsOfItem(key);
    const check = CHECKS.find((known) => known === name);
    if (!check || asked.has(key)) return [];
    const { says, accept, unit } = CHECK_CATALOGUE[check];
    const code_reference = codeReference(check, records.site.necEdition);
    const place = { section_id: section || null, inverter_id: inverter || null };
    return [{ check, ...place, says, accept, unit, code_reference, caution: "" }];
  });
  return [...checklist, ...more];
}

interface Context {
  facts: VisitFacts;
  merged: readonly ResolvedField[];
  readings: readonly JudgedReading[];
  cautions: SheetCautions;
  at: (instant: number) => string;
}

function foundCheck(item: ChecklistItem, { facts, merged, readings, cautions, at }: Context): SheetCheck {
  const key = itemKey(item.check, item.section_id, item.inverter_id);
  const field = (name: string) => merged.find((one) => one.item === key && one.field === name)?.values ?? [];
  const numbers = facts.photos.flatMap((photo, i) => (photo.item === key ? [i + 1] : []));
  return {
    title: checkTitle(item.check, item.section_id, item.inverter_id),
    lines: [`Accept: ${bothIn(facts.units, item.accept)} Reference: ${item.code_reference ?? "none"}.`],
    cautions: cautions.of(item.caution),
    answer: {
      kind: "found",
      outcome: outcomeOf(merged.find((one) => one.item === key && one.field === "outcome")),
      lines: [
        ...readings.filter((one) => one.item === key).map((one) => readingLine(one, at, facts.units)),
        ...field("note").map((one) => `Note by ${person(one.by)}: ${one.value}`),
        ...(numbers.length > 0 ? [`Photos: ${numbers.join(", ")}.`] : []),
      ],
    },
  };
}

function outcomeOf(found: ResolvedField | undefined): string {
  const said = (found?.values ?? []).filter((one) => one.value !== "");
  if (said.length === 0) return "nothing written, a gap and not a pass";
  const each = said.map((one) => `${one.value} (${person(one.by)})`).join(", ");
  if (found?.resolved) {
    const { by, licence, value, reason } = found.resolved;
    return `${each}; ${by}, licence ${licence}, decided ${value}${reason ? `: ${reason}` : ""}`;
  }
  return new Set(said.map((one) => one.value)).size > 1 ? `${each}; the worse one counts` : each;
}

const point = (name: string | null) => (name ? name.replace(":", " ").replaceAll("_", " ") : "a point not said");

function readingLine(
  { reading, by, at: when, judgement, replaced }: JudgedReading,
  at: Context["at"],
  units: Units,
): string {
  const { text, unit, quantity, method, meter, pointA, pointB, licence, instrument, calibratedOn } = reading;
  const kind = quantity === "dc" ? " DC" : quantity === "ac_rms" ? " AC rms" : "";
  const how = [method ? words(method) : "", unit === "volt" ? `meter impedance ${meter}` : ""].filter(Boolean);
  const between = pointA || pointB ? `, ${point(pointA)} to ${point(pointB)}` : "";
  const with_ = `instrument ${instrument || "not recorded"}, calibrated on ${calibratedOn || "not recorded"}`;
  const who = `${person(by)}${licence ? `, licence ${licence}` : ""}`;
  return [
    `Reading ${unit ? readingIn(units, text, unit) : `${text} without a unit`}${kind}${between}${how.length > 0 ? `, ${how.join(", ")}` : ""}`,
    `${with_}; by ${who}, ${at(when)}${replaced ? "; written over later" : ""}.`,
    `${words(judgement.verdict)}: ${reasonsIn(units, unit, judgement.reasons)}`,
  ].join("; ");
}

/** Only a length has feet in its reasons; "3 in 5" elsewhere is no inch. */
const reasonsIn = (units: Units, unit: string | null, reasons: readonly string[]): string =>
  reasons.map((says) => (units === "us" || unit === "foot" ? bothIn(units, says) : says)).join(" ");

function foundAndDone(merged: readonly MergedField[]): string[] {
  const rows: [string, string][] = [
    ["cause", "Cause found"],
    ["confirmed", "Found by measurement or sight"],
    ["action", "What was done"],
    ["tested_after", "Tested after"],
    ["left", "State the site was left in"],
  ];
  return rows.map(([field, label]) => {
    const found = merged.find((one) => one.item === WHOLE_VISIT && one.field === field)?.values ?? [];
    const values = found.filter((one) => one.value !== "");
    const text = values.map((one) => {
      const value = field === "action" || field === "left" ? one.value : words(one.value);
      return values.length > 1 ? `${value} (${person(one.by)})` : value;
    });
    return `${label}: ${text.length > 0 ? text.join("; ") : "not written"}.`;
  });
}

function stopLines(edits: readonly VisitEdit[], at: Context["at"]): string[] {
  const volts = voltReadings(edits);
  const standing = new Set(standingStops(volts).map((stop) => stop.id));
  const stops = volts.filter(isStopReading).sort((a, b) => a.at - b.at);
  const lines = stops.map((stop) => {
    const state = standing.has(stop.id) ? "STANDS: no work until a qualified person lowers it" : "lowered later";
    const kind = stop.quantity === "dc" ? "V DC" : stop.quantity === "ac_rms" ? "V AC rms" : "V";
    return `${Math.abs(stop.volts)} ${kind}, ${point(stop.pointA)} to ${point(stop.pointB)}, by ${person(stop.inspector)}, ${at(stop.at)}: ${state}.`;
  });
  return lines.length > 0
    ? lines
    : ["No reading of this visit reached the limit at which people stand back. That is no clearance."];
}

function course(edits: readonly VisitEdit[], at: Context["at"]): VisitSheet["cover"][number] {
  const states = edits
    .filter((edit) => edit.item === WHOLE_VISIT && edit.field === "state" && edit.value !== "")
    .toSorted((a, b) => a.at - b.at);
  const paragraphs = states.length > 0 ? [] : ["Arrival, go or no-go and leaving were not written."];
  return {
    heading: "Course of the visit",
    paragraphs,
    table: {
      columns: [
        { head: "When", share: 3 },
        { head: "What", share: 2 },
        { head: "By", share: 2 },
      ],
      rows: states.map((edit) => [at(edit.at), words(edit.value), person(edit.by)]),
    },
  };
}

/** The last signature of each person. */
function signatures(edits: readonly VisitEdit[], at: Context["at"]): SheetSignature[] {
  const all = signOffs(edits);
  const last = all.filter((one, i) => !all.slice(i + 1).some((later) => later.by === one.by));
  return last.map(({ by, licence, at: when, stands }) => ({
    ...{ name: person(by), licence, when: at(when) },
    says: stands ? "" : "Signed before the last change: what was written since is not covered by this signature.",
  }));
}

function photosOf({ photos }: VisitFacts, at: Context["at"]): SheetPhoto[] {
  return photos.map(({ item, sha256, takenAt, latitude, longitude, jpeg }, i) => {
    const [name, section, inverter] = partsOfItem(item);
    const check = CHECKS.find((known) => known === name);
    const what = check ? checkTitle(check, section || null, inverter || null) : "The visit as a whole";
    const when = takenAt === null ? "time not kept" : at(takenAt);
    const where =
      latitude === null || longitude === null
        ? "position not kept"
        : `at ${latitude.toFixed(5)}, ${longitude.toFixed(5)}`;
    const gone = jpeg === null ? " Its file is missing or cannot be drawn." : "";
    return { number: i + 1, caption: `${what}. ${when}, ${where}. SHA-256 ${sha256}.${gone}`, jpeg };
  });
}
