import { computedInspection } from "../core/computed-inspection.ts";
import { CAUSES, type Check, type Inspection, type SiteRecords } from "../core/records.ts";
import { decibans } from "../core/statistics.ts";
import { type Belief, type Believer, believer } from "./diagnose.ts";
import type { DiagnoseInput } from "./diagnose-input.ts";
import type { ParameterTable } from "./parameters.ts";

/** What one more check, done now, is expected to tell. */
export interface ExpectedInformation {
  check: Check;
  sectionId: string | null;
  inverterId: string | null;
  /** Chance that it fails, as far as is known now. */
  failProbability: number;
  /** Probability of a bonding-family defect after either outcome, and now. */
  ifFails: number;
  ifPasses: number;
  now: number;
  /** Expected loss of uncertainty about whether there is a bonding defect, bits. */
  bits: number;
  /** The same summed over the causes one by one, bits: what it tells of which cause it is. */
  causeBits: number;
}

export interface ProposedCheck {
  check: Check;
  sectionId: string | null;
  inverterId: string | null;
}

const entropyBits = (p: number): number => (p <= 0 || p >= 1 ? 0 : -(p * Math.log2(p) + (1 - p) * Math.log2(1 - p)));

/** An input with one more inspection row in it: what a finding would change, with nothing stored. */
export function withInspection(input: DiagnoseInput, inspection: Inspection): DiagnoseInput {
  return { ...input, records: { ...input.records, inspections: [...input.records.inspections, inspection] } };
}

/**
 * Expected information of a check that passes or fails, done at the instant of the input.
 *
 * The chance that it fails follows from the model itself: today's probability is the mean of tomorrow's over the two
 * outcomes. It is read off the quantity that the check moves most.
 *
 * @returns bits of at least 0; all 0 for a check that moves nothing
 * @shape two diagnoses; deterministic; the input is not changed
 */
export function expectedInformation(
  proposed: ProposedCheck,
  input: DiagnoseInput,
  parameters: ParameterTable,
): ExpectedInformation {
  return informationFrom(proposed, input, believer(input, parameters));
}

function informationFrom(proposed: ProposedCheck, input: DiagnoseInput, { now, after }: Believer): ExpectedInformation {
  const fails = after(plainRow(proposed, "fail", input));
  const passes = after(plainRow(proposed, "pass", input));
  const failProbability = chanceOfFailing(now, fails, passes);
  const gain = (of: (belief: Belief) => number) =>
    Math.max(
      0,
      entropyBits(of(now)) - failProbability * entropyBits(of(fails)) - (1 - failProbability) * entropyBits(of(passes)),
    );
  return {
    ...proposed,
    failProbability,
    ifFails: fails.bonding,
    ifPasses: passes.bonding,
    now: now.bonding,
    bits: gain((belief) => belief.bonding),
    causeBits: CAUSES.reduce((sum, cause) => sum + gain((belief) => belief.causes[cause]), 0),
  };
}

function chanceOfFailing(now: Belief, fails: Belief, passes: Belief): number {
  let widest = 0;
  let chance = 0;
  for (const share of [(b: Belief) => b.bonding, ...CAUSES.map((cause) => (b: Belief) => b.causes[cause])]) {
    const spread = share(fails) - share(passes);
    if (Math.abs(spread) <= widest) continue;
    widest = Math.abs(spread);
    chance = (share(now) - share(passes)) / spread;
  }
  // Below this the check moves nothing, and the ratio would be rounding.
  return widest < 1e-9 ? 0 : Math.min(1, Math.max(0, chance));
}

function plainRow(proposed: ProposedCheck, outcome: "fail" | "pass", { records, asOf }: DiagnoseInput): Inspection {
  const { check, sectionId, inverterId } = proposed;
  return computedInspection({ siteId: records.site.siteId, check, sectionId, inverterId, outcome }, asOf);
}

/** Checks of one section, of one inverter, and of the site as a whole. */
const AT_SECTION: readonly Check[] = [
  "bond_resistance",
  "section_jumper",
  "section_potential",
  "bare_metal_contact",
  "listed_hardware",
  "conductor_condition",
  "connector_condition",
];
const AT_INVERTER: readonly Check[] = ["insulation_resistance", "egc_continuous", "egc_size"];
const AT_SITE: readonly Check[] = [
  "all_metal_bonded",
  "electrode_bonded",
  "electrode_resistance",
  "battery_electrode",
  "enclosure_dry",
  "surge_protection",
];
/** Places of one kind that are tried, the first by id: the model tells sections apart only by what was found there. */
const MOST_PLACES = 6;

function candidates({ sections, inverters, site }: SiteRecords, places: number): ProposedCheck[] {
  const sectionIds = sections.map((s) => s.sectionId).sort();
  const inverterIds = inverters.map((v) => v.inverterId).sort();
  const atSite = AT_SITE.filter((check) => check !== "battery_electrode" || site.battery !== "none");
  return [
    ...sectionIds
      .slice(0, places)
      .flatMap((sectionId) => AT_SECTION.map((check) => ({ check, sectionId, inverterId: null }))),
    ...inverterIds
      .slice(0, places)
      .flatMap((inverterId) => AT_INVERTER.map((check) => ({ check, sectionId: null, inverterId }))),
    ...atSite.map((check) => ({ check, sectionId: null, inverterId: null })),
  ];
}

/**
 * The checks that would change the belief in a bonding defect most, best first; one place of each check, so that six
 * like sections do not fill the list. What is to be checked for safety is not chosen here.
 * @param most how many to return
 * @param places how many sections and inverters are tried, the first by id
 * @shape two diagnoses a candidate; deterministic
 */
export function nextTests(
  input: DiagnoseInput,
  parameters: ParameterTable,
  most = 5,
  places = MOST_PLACES,
): ExpectedInformation[] {
  const believed = believer(input, parameters);
  const best = new Map<Check, ExpectedInformation>();
  for (const proposed of candidates(input.records, places)) {
    const told = informationFrom(proposed, input, believed);
    const rival = best.get(proposed.check);
    if (!rival || told.bits > rival.bits) best.set(proposed.check, told);
  }
  return [...best.values()].sort((a, b) => b.bits - a.bits || b.causeBits - a.causeBits).slice(0, most);
}

/** How far an outcome would move the odds, in decibans: a difference of beliefs needs no interval of its own. */
function moves(from: number, to: number): string {
  const logit = (p: number) => Math.log(p / (1 - p));
  const by = decibans(logit(to) - logit(from));
  return `${by >= 0 ? "adds" : "takes"} ${Math.abs(by).toFixed(1)} decibans`;
}

/**
 * What would change the belief most, in a sentence: the check that is expected to tell most, with the belief after
 * either outcome. Measuring is for qualified people under their own safe-work rules; the sentence only says what it tells.
 * @returns null where no check is expected to tell anything
 */
export function wouldChangeMost(tests: readonly ExpectedInformation[]): string | null {
  const [best] = tests;
  if (!best || best.bits < 1e-4) return null;
  const place = best.sectionId
    ? ` of section ${best.sectionId}`
    : best.inverterId
      ? ` of inverter ${best.inverterId}`
      : "";
  return `What would change this most: ${best.check.replaceAll("_", " ")}${place}. Failing ${moves(best.now, best.ifFails)}, no fault seen ${moves(best.now, best.ifPasses)}.`;
}
