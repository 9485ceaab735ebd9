import type { Check, Inspection, SiteRecords, Skill } from "../core/records.ts";
import { ALWAYS, type CautionId, cautionText } from "../grounding/cautions.ts";
import { CHECK_CATALOGUE, checkCautions, WALK, type WalkPlace } from "../grounding/check-catalogue.ts";
import { codeReference } from "../grounding/code-reference.ts";
import { sayConductorSize } from "../grounding/conductor-size.ts";
import { insulationTestRow } from "../grounding/limits.ts";
import { pieceLabel } from "../grounding/path-piece-links.ts";
import type { JudgedConductor } from "../grounding/site-conductors.ts";
import { shortenSteps } from "./shorten-steps.ts";
import type { VisitStep } from "./step-list.ts";
import { type VisitStepsInput, visitSteps } from "./visit-steps.ts";

/** One line of a checklist. `check` to `caution` are the contract's; the rest is for the phone and the print. */
export interface ChecklistItem {
  check: Check;
  sectionId: string | null;
  inverterId: string | null;
  says: string;
  accept: string;
  codeReference: string;
  unit: Inspection["unit"];
  caution: string;
  place: WalkPlace;
  /** Why it is on this site's list. */
  why: string[];
  /** What a warranty or policy lacks that can be got here. */
  forCoverage: string[];
  minutes: number;
  tools: string[];
  photo: string;
  skills: Skill[];
}

export interface Checklist {
  items: ChecklistItem[];
  /** What does not fit into one visit and stays open for the next, in walking order. */
  stillOpen: ChecklistItem[];
  /** Estimated, quarter hours, rounded up; without the drive. */
  hoursOnSite: number;
  /** Skills that the items need together, in the order of SKILLS. */
  skills: Skill[];
  /** Tools, each once, in the order of use. */
  tools: string[];
  /** What the path says that the list was made from. */
  problems: string[];
}

/** Arriving, looking, the talk before work, leaving, min. Judgement. */
const SETUP_MINUTES = 30;
/** Getting onto a roof and off it, min. Judgement. */
const ROOF_ACCESS_MINUTES = 20;

/**
 * The checklist of one visit, made from this site's sections, inverters and evidence, in walking order: on the
 * ground, in the electrical room, on the roof (or at the array), and back. At each place voltage comes first and
 * resistance after it. No step asks anyone to open a bond, unplug, reset from afar or wet an array; what is looked at
 * is looked at closed and connected.
 */
export function checklistFor(input: VisitStepsInput): Checklist {
  const { records } = input;
  const { steps, path, conductors } = visitSteps(input);
  const onRoof = steps.some((step) => step.place === "roof") && records.site.mounting !== "ground";
  const other = SETUP_MINUTES + (onRoof ? ROOF_ACCESS_MINUTES : 0);
  const { now, later } = input.emergency
    ? { now: steps, later: [] }
    : shortenSteps(steps, records, input.correlation, input.asOf, other);
  const inOrder = (some: VisitStep[]) => some.sort(inWalkingOrder).map((step) => itemOf(step, records, conductors));
  const items = inOrder(now);
  const stillOpen = inOrder(later);
  const roof = items.some((item) => item.place === "roof") && records.site.mounting !== "ground";
  const minutes = items.reduce((sum, item) => sum + item.minutes, SETUP_MINUTES + (roof ? ROOF_ACCESS_MINUTES : 0));
  const skills = new Set<Skill>(items.flatMap((item) => item.skills));
  if (roof) skills.add("roof");
  // To write that there is no battery takes no skill with one; where there is one, the visit after this needs it.
  if (records.site.battery === null || records.site.battery === "unknown") skills.delete("battery");
  return {
    items,
    stillOpen,
    hoursOnSite: Math.ceil(minutes / 15) / 4,
    skills: (["electrician", "roof", "battery"] as const).filter((skill) => skills.has(skill)),
    tools: [...new Set(items.flatMap((item) => item.tools))],
    problems: path.problems,
  };
}

/** Voltage first, then what is seen, then resistance. */
const RESISTANCE: ReadonlySet<Check> = new Set([
  "bond_resistance",
  "egc_continuous",
  "electrode_resistance",
  "insulation_resistance",
]);
const phase = (check: Check) => (check === "section_potential" ? 0 : RESISTANCE.has(check) ? 2 : 1);
const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

function inWalkingOrder(a: VisitStep, b: VisitStep): number {
  return (
    WALK.indexOf(a.place) - WALK.indexOf(b.place) ||
    byText(a.sectionId ?? "", b.sectionId ?? "") ||
    byText(a.inverterId ?? "", b.inverterId ?? "") ||
    phase(a.check) - phase(b.check) ||
    byText(a.check, b.check)
  );
}

function itemOf(step: VisitStep, records: SiteRecords, conductors: JudgedConductor[]): ChecklistItem {
  const entry = CHECK_CATALOGUE[step.check];
  const cautions: CautionId[] = [...ALWAYS, ...checkCautions(step.check, step.place)];
  const notOnRoof = records.site.mounting === "ground";
  return {
    check: step.check,
    sectionId: step.sectionId,
    inverterId: step.inverterId,
    says: `${whereOf(step)}${entry.says}${recordedAt(step, records)}`,
    accept: acceptOf(step, records, conductors) ?? entry.accept,
    codeReference: codeReference(step.check, records.site.necEdition),
    unit: entry.unit,
    caution: cautionText(notOnRoof ? cautions.filter((id) => id !== "wet_roof" && id !== "fall_protection") : cautions),
    place: step.place,
    why: step.why,
    forCoverage: step.forCoverage,
    minutes: entry.minutes,
    tools: entry.tools,
    photo: entry.photo,
    skills: step.place === "roof" && !notOnRoof ? [...new Set<Skill>([...entry.skills, "roof"])] : entry.skills,
  };
}

function whereOf(step: VisitStep): string {
  if (step.check === "section_potential") {
    if (step.sectionId)
      return `Section ${step.sectionId}, between its frames and each neighbouring section and from its frames to the ground bus: `;
    if (step.inverterId) return `Inverter ${step.inverterId}, from its enclosure to the ground bus: `;
    return "Between the ground bus and the grounding electrode, and to any other electrode: ";
  }
  if (step.sectionId) return `Section ${step.sectionId}: `;
  if (step.inverterId) return `Inverter ${step.inverterId}: `;
  return "";
}

/** Pieces that people recorded where this check is done, so that none is walked past. */
function recordedAt({ check, sectionId, inverterId }: VisitStep, { pathPieces, sections }: SiteRecords): string {
  const names = (pathPieces ?? []).flatMap((piece) => {
    const here =
      check === "all_metal_bonded"
        ? piece.standsIn === null && (piece.sectionId === sectionId || piece.bondedTo === `section:${sectionId}`)
        : check === "inverter_ground_terminal" &&
          (piece.standsIn?.includes(` inverter:${inverterId} `) || piece.bondedTo === `inverter:${inverterId}`);
    return here ? [pieceLabel(piece)] : [];
  });
  const combiner = sections.find((section) => section.sectionId === sectionId)?.combinerId ?? null;
  if (
    check === "all_metal_bonded" &&
    combiner !== null &&
    !(pathPieces ?? []).some((each) => each.pieceId === combiner)
  )
    names.push(`Combiner ${combiner}`);
  return names.length > 0 ? ` Recorded here: ${names.join(", ")}.` : "";
}

/** Acceptance by this site's own numbers where the records allow. */
function acceptOf(step: VisitStep, records: SiteRecords, conductors: JudgedConductor[]): string | null {
  if (step.check === "egc_size") return acceptSize(step, conductors);
  if (step.check === "electrode_resistance") {
    const { electrode } = records.site;
    const isRule = electrode === null || electrode === "unknown" || electrode === "rod" || electrode === "plate";
    return isRule
      ? null
      : `Write the value: 25 ohm is a rule for a single rod, pipe or plate, and this is a ${electrode.replaceAll("_", " ")}. It says nothing about the bond to the service.`;
  }
  if (step.check === "insulation_resistance") {
    const maxDcV = records.inverters.find((inverter) => inverter.inverterId === step.inverterId)?.maxDcV ?? null;
    if (maxDcV === null || maxDcV <= 0) return null;
    const row = insulationTestRow(maxDcV);
    return `At least ${row.minimumMohm} Mohm at a test voltage of ${row.testV} V.`;
  }
  return null;
}

/** The minimum of this conductor, or what has to be written down before anybody can say. */
function acceptSize(step: VisitStep, conductors: JudgedConductor[]): string | null {
  const filed = conductors.filter((conductor) => conductor.name === null && conductor.role !== "gec");
  const mine = filed.find((conductor) =>
    step.sectionId !== null
      ? conductor.sectionId === step.sectionId
      : conductor.sectionId === null && conductor.inverterId === step.inverterId,
  );
  if (!mine) return null;
  const { verdict } = mine;
  if (verdict.kind === "right" || verdict.kind === "undersized")
    return `At least ${sayConductorSize(verdict.required)}${mine.material ? ` ${mine.material}` : ""}.`;
  const missing = verdict.kind === "cannot_tell" ? verdict.missing.filter((each) => each !== "size") : [];
  if (missing.length === 0) return null;
  return `${CHECK_CATALOGUE.egc_size.accept} Not recorded, so write it down too: ${missing.join(", ")}.`;
}
