import { CAUSES, type Cause, type Inspection, type Instant, type Repair, type SiteRecords } from "../core/records.ts";
import { decibans, sampleQuantile } from "../core/statistics.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { BONDING_MASK, CONFIGURATIONS, EVERY_CONFIGURATION } from "./configurations.ts";
import type { Diagnosis, EvidenceItem } from "./diagnosis.ts";
import { type DrawnTable, drawnTables } from "./drawn-tables.ts";
import { energizedProbability } from "./energized-metal.ts";
import type { EventBasis } from "./event-basis.ts";
import {
  ALL_STATES,
  countLikelihood,
  type EventRates,
  eventRates,
  RAIN_STATES,
  type ShareOf,
  shareLikelihood,
  WATER_STATES,
} from "./event-likelihood.ts";
import { causeRepairs, type EventSummary, eventSummary } from "./event-summary.ts";
import { evidenceSentences, groupSentence } from "./evidence-sentences.ts";
import {
  findingLikelihood,
  type PlacedFinding,
  placedFindings,
  placedLikelihood,
  placesOf,
  type WeighedFinding,
  weighFindings,
  withNewest,
} from "./finding-likelihood.ts";
import { type Finding, findingsOf, inspectionFinding } from "./findings.ts";
import { diagnosisGaps, diagnosisNotes } from "./gaps.ts";
import { type ParameterTable, type ParameterValues, parameter, valuesOf } from "./parameters.ts";
import { attributeLogOdds, baseLogOdds, configurationPrior, repairLogOdds, siteAttributes } from "./prior.ts";
import { type SharedGroup, type SharedShifts, sharedShifts } from "./shared-effect.ts";

export interface DiagnoseInput {
  records: SiteRecords;
  correlation: SiteCorrelation;
  asOf: Instant;
  /** Confirmed visits of other sites that share its installer or hardware; absent: none are known. */
  shared?: readonly SharedGroup[];
}

/** What does not change from one table of parameters to the next. */
interface Prepared {
  input: DiagnoseInput;
  attributes: Map<string, number>;
  summary: EventSummary;
  repairs: Repair[];
  events: EventTerm[];
  findings: Finding[];
  placed: PlacedFinding[];
  /** How many places a cause can sit at. */
  places: number;
  /** What confirmed visits of sites that share its installer or hardware add. */
  shared: SharedShifts | null;
  says: ReturnType<typeof evidenceSentences>;
}

/**
 * What is believed of a site's grounding: probability of each cause, of any of the bonding family, and of energised
 * metal, with the evidence in decibans and a band from the uncertainty of the parameters.
 *
 * Exact over all configurations of at most three causes. Records after `asOf` are not used. Evidence items come in a
 * fixed order and sum to 10 log10(p / (1 - p)) of the bonding-defect probability.
 *
 * @param options.draws how many parameter tables to draw for the band; 0 gives low = p = high
 * @shape O(draws x configurations that matter x (states + findings)); deterministic
 */
export function diagnose(input: DiagnoseInput, parameters: ParameterTable, options: { draws: number }): Diagnosis {
  const values = valuesOf(parameters);
  const { prepared, settled } = settledOf(input, values);
  const steps = [...settled, ...findingSteps(prepared, values)];
  const total = sumOf(steps.map((s) => s.log));
  const posterior = normalised(total, EVERY_CONFIGURATION);
  const p = massOf(posterior, BONDING_MASK);
  const energized = energizedProbability(posterior, prepared.summary, values);
  const matter = options.draws > 0 ? configurationsThatMatter(posterior) : EVERY_CONFIGURATION;
  const drawn = drawnTables(parameters, options.draws).map((table) => drawnProbabilities(prepared, table, matter));
  const evidence = weighSteps(steps, total);
  const causes = causesOf(posterior);
  return {
    bondingDefect: band(
      p,
      drawn.map((d) => d.bonding),
    ),
    energizedMetal: band(
      energized,
      drawn.map((d) => d.energized),
    ),
    causes,
    causeBands: causeBandsOf(
      causes,
      drawn.map((d) => d.causes),
    ),
    evidence,
    strongest: strongestOf(evidence),
    ...(prepared.shared && { sharedLogOdds: byCause(prepared.shared.shift) }),
    ...basisOf(prepared, values, steps, total),
    gaps: diagnosisGaps(input.records, input.asOf),
    notes: diagnosisNotes(prepared.findings),
  };
}

export interface Belief {
  /** Probability of a bonding defect. */
  bonding: number;
  causes: Record<Cause, number>;
}

/** What is believed of a site now, and would be with one more finding. */
export interface Believer {
  now: Belief;
  /** @param row an inspection of the input's instant with no number in it */
  after: (row: Inspection) => Belief;
}

/**
 * The same probabilities as diagnose gives, without bands and sentences, for a site as it is and with one more check done
 * now: nothing that does not depend on it is computed twice.
 */
export function believer(input: DiagnoseInput, parameters: ParameterTable): Believer {
  const values = valuesOf(parameters);
  const { prepared, settled } = settledOf(input, values);
  const before = sumOf(settled.map((s) => s.log));
  const beliefOf = (placed: readonly PlacedFinding[]): Belief => {
    const total = placedLikelihood(placed, values, prepared.places, EVERY_CONFIGURATION, TERM);
    for (let k = 0; k < total.length; k++) total[k] = (before[k] as number) + (total[k] as number);
    const posterior = normalised(total, EVERY_CONFIGURATION, POSTERIOR);
    return { bonding: massOf(posterior, BONDING_MASK), causes: causesOf(posterior) };
  };
  return {
    now: beliefOf(prepared.placed),
    after: (row) => {
      const finding = inspectionFinding(row, []);
      return beliefOf(withNewest(prepared.placed, finding, input.records, input.asOf));
    },
  };
}

const causesOf = (posterior: Float64Array) =>
  Object.fromEntries(CAUSES.map((c, i) => [c, massOf(posterior, 1 << i)])) as Record<Cause, number>;

/** Probability of each cause, in the order of CAUSES, in one pass over the configurations that have any. */
function causeMasses(posterior: Float64Array, only: Int32Array): Float64Array {
  const out = new Float64Array(CAUSES.length);
  for (let i = 0; i < only.length; i++) {
    const k = only[i] as number;
    const mask = MASKS[k] as number;
    for (let c = 0; c < out.length; c++) if (mask & (1 << c)) out[c] = (out[c] as number) + (posterior[k] as number);
  }
  return out;
}

function causeBandsOf(causes: Record<Cause, number>, drawn: readonly Float64Array[]): Diagnosis["causeBands"] {
  const ends = CAUSES.map((cause, c) => {
    const { low, high } = band(
      causes[cause],
      drawn.map((masses) => masses[c] as number),
    );
    return [cause, { low, high }] as const;
  });
  return Object.fromEntries(ends) as Diagnosis["causeBands"];
}

/** Share of a side's probability that may go unlooked at in a band. */
const UNLOOKED = 0.001;

/**
 * The configurations that hold all but a thousandth of the probability, of those with a bonding defect and of those
 * without: a band moves with the parameters, and what is a thousandth of a side stays next to nothing.
 */
function configurationsThatMatter(posterior: Float64Array): Int32Array {
  const kept: number[] = [];
  for (const bonding of [true, false]) {
    const side = [...EVERY_CONFIGURATION]
      .filter((k) => (((CONFIGURATIONS[k] as number) & BONDING_MASK) !== 0) === bonding)
      .sort((a, b) => (posterior[b] as number) - (posterior[a] as number));
    let left = side.reduce((sum, k) => sum + (posterior[k] as number), 0) * (1 - UNLOOKED);
    for (const k of side) {
      if (left <= 0) break;
      kept.push(k);
      left -= posterior[k] as number;
    }
  }
  return Int32Array.from(kept).sort();
}

/** Room for what one draw of one site makes: made once, as it is needed for every draw of every site. */
const TOTAL = new Float64Array(CONFIGURATIONS.length);
const TERM = new Float64Array(CONFIGURATIONS.length);
const POSTERIOR = new Float64Array(CONFIGURATIONS.length);
const ODDS = new Float64Array(CAUSES.length);
const MORE = new Float64Array(CAUSES.length);

/** What is believed under a drawn table, over the configurations that matter. */
function drawnProbabilities(prepared: Prepared, table: DrawnTable, matter: Int32Array) {
  const total = drawnTotal(prepared, table, matter);
  const posterior = normalised(total, matter, POSTERIOR);
  return {
    bonding: massOf(posterior, BONDING_MASK, matter),
    energized: energizedProbability(posterior, prepared.summary, table.values, matter),
    causes: causeMasses(posterior, matter),
  };
}

/** The log posterior of some configurations under a drawn table, up to a constant. */
function drawnTotal(prepared: Prepared, table: DrawnTable, only: Int32Array): Float64Array {
  const { values, base, sharedSteps } = table;
  const { shared, repairs, input } = prepared;
  addInto(ODDS, base, attributeLogOdds(prepared.attributes, values, MORE));
  if (shared) {
    // The shifts of a site's groups are themselves known only so far.
    for (let c = 0; c < ODDS.length; c++)
      ODDS[c] =
        (ODDS[c] as number) + (shared.shift[c] as number) + (shared.sd[c] as number) * (sharedSteps[c] as number);
  }
  if (repairs.length > 0) addInto(ODDS, ODDS, repairLogOdds(repairs, values, input.records.sections.length));
  const out = configurationPrior(ODDS, only, TOTAL);
  for (const term of prepared.events) addTo(out, term.log(values, table.rates, only, TERM), only);
  if (prepared.placed.length > 0)
    addTo(out, placedLikelihood(prepared.placed, values, prepared.places, only, TERM), only);
  return out;
}

function addInto(out: Float64Array, a: Float64Array, b: Float64Array): void {
  for (let c = 0; c < out.length; c++) out[c] = (a[c] as number) + (b[c] as number);
}

function addTo(out: Float64Array, more: Float64Array, only: Int32Array): void {
  for (let i = 0; i < only.length; i++) {
    const k = only[i] as number;
    out[k] = (out[k] as number) + (more[k] as number);
  }
}

interface Settled {
  prepared: Prepared;
  settled: Step[];
}

/** What was made last: a site is diagnosed, and at once asked what more checks would tell. */
let madeLast: (Settled & { values: ParameterValues }) | null = null;

function settledOf(input: DiagnoseInput, values: ParameterValues): Settled {
  const before = madeLast?.prepared.input;
  if (
    madeLast?.values === values &&
    before?.correlation === input.correlation &&
    before.records === input.records &&
    before.asOf === input.asOf &&
    before.shared === input.shared
  )
    return madeLast;
  const prepared = prepare(input, values);
  madeLast = { prepared, settled: settledSteps(prepared, values), values };
  return madeLast;
}

function prepare(input: DiagnoseInput, values: ParameterValues): Prepared {
  const { records, correlation, asOf } = input;
  const attributes = siteAttributes(records, asOf);
  const summary = eventSummary(records, correlation, asOf);
  const repairs = causeRepairs(records, asOf);
  const findings = findingsOf(records, asOf, correlation.readings);
  const says = evidenceSentences(attributes, summary, correlation, repairs);
  return {
    input,
    attributes,
    summary,
    repairs,
    says,
    events: eventTerms(input, summary, says),
    findings,
    placed: placedFindings(findings, records, asOf),
    places: placesOf(records).count,
    shared: sharedShifts(input.shared ?? [], values),
  };
}

const byCause = (of: Float64Array) =>
  Object.fromEntries(CAUSES.flatMap((c, i) => (of[i] === 0 ? [] : [[c, of[i]]]))) as Partial<Record<Cause, number>>;

interface Step {
  source: string;
  says: string;
  /** Log-likelihood (or log prior) of this step under each configuration. */
  log: Float64Array;
}

/** Everything before the findings. */
function settledSteps(prepared: Prepared, values: ParameterValues): Step[] {
  const { records } = prepared.input;
  const { says, repairs } = prepared;
  const base = baseLogOdds(values);
  const described = added(base, attributeLogOdds(prepared.attributes, values));
  const grouped = prepared.shared ? added(described, prepared.shared.shift) : described;
  const mended = added(grouped, repairLogOdds(repairs, values, records.sections.length));
  const priors = [base, described, grouped, mended].map((odds) => configurationPrior(odds)) as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const steps: Step[] = [
    { source: "prior", says: says.prior, log: priors[0] },
    { source: "attributes", says: says.attributes, log: minus(priors[1], priors[0]) },
  ];
  if (prepared.shared) steps.push({ source: "shared", says: prepared.shared.says, log: minus(priors[2], priors[1]) });
  if (says.repairs) steps.push({ source: "repair", says: says.repairs, log: minus(priors[3], priors[2]) });
  const rates = eventRates(values);
  for (const { source, says: text, log } of prepared.events)
    steps.push({ source, says: text, log: log(values, rates, EVERY_CONFIGURATION) });
  return steps;
}

/** What learning needs of the counts, beside what everything else said. */
function basisOf(
  { input, summary }: Prepared,
  values: ParameterValues,
  steps: readonly Step[],
  total: Float64Array,
): { basis?: EventBasis } {
  const counts = steps.find(({ source }) => source === "events");
  if (!counts) return {};
  return {
    basis: {
      units: summary.units,
      detector: detectorFactor(input.records, values),
      overdispersion: overdispersionOf(input, values),
      phases: summary.phases.map(({ unitHours, onsets, removedLater }) => ({
        unitHours: [...unitHours],
        onsets: [...onsets],
        certain: removedLater.flatMap(({ cause, confirmed }) =>
          confirmed === "yes" && cause !== "none_found" ? [cause] : [],
        ),
      })),
      elsewhere: minus(total, counts.log),
    },
  };
}

/** Onsets of one site come in runs: at least as the table says, more where its own log shows more. */
function overdispersionOf({ correlation }: DiagnoseInput, values: ParameterValues): number {
  return Math.max(parameter(values, "events.overdispersion"), Math.min(5, correlation.overdispersion));
}

/** One step that the events of a site make, whatever the table. */
interface EventTerm {
  source: string;
  says: string;
  log: (values: ParameterValues, rates: EventRates, only: Int32Array, out?: Float64Array) => Float64Array;
}

function eventTerms(input: DiagnoseInput, summary: EventSummary, says: Prepared["says"]): EventTerm[] {
  if (input.correlation.window === null) return [];
  const s = summary.signature;
  const terms: EventTerm[] = [
    {
      source: "events",
      says: says.events,
      log: (values, rates, only, out) =>
        countLikelihood(
          summary,
          rates,
          {
            presentBefore: parameter(values, "repair.presentBefore"),
            overdispersion: overdispersionOf(input, values),
            detector: detectorFactor(input.records, values),
          },
          only,
          out,
        ),
    },
  ];
  const share = (
    trials: number,
    step: Pick<EventTerm, "source" | "says">,
    kind: "clears" | "several" | "late" | "dawn",
    states: readonly number[],
    shareOf: ShareOf,
  ) => {
    if (trials > 0)
      terms.push({
        ...step,
        log: (_values, rates, only, out) => shareLikelihood(shareOf, kind, summary, rates, states, only, out),
      });
  };
  share(s.clearable, { source: "clearing", says: says.clearing }, "clears", WATER_STATES, (x) => ({
    hits: x.cleared,
    trials: x.clearable,
  }));
  share(s.severable, { source: "signature", says: says.several }, "several", ALL_STATES, (x) => ({
    hits: x.several,
    trials: x.severable,
  }));
  share(s.afterRain, { source: "lag", says: says.late }, "late", RAIN_STATES, (x) => ({
    hits: x.late,
    trials: x.afterRain,
  }));
  share(s.dawnable, { source: "dawn", says: says.dawn }, "dawn", ALL_STATES, (x) => ({
    hits: x.atDawn,
    trials: x.dawnable,
  }));
  return terms;
}

/**
 * A detector that misses some faults, or looks only at start, trips less for the same defect: the mean over the site's
 * inverters, as a cause may sit at any of them.
 */
function detectorFactor({ inverters }: SiteRecords, values: ParameterValues): number {
  if (inverters.length === 0) return 1;
  let sum = 0;
  for (const { detector } of inverters) {
    if (detector === "fuse") sum += parameter(values, "detector.fuse");
    else if (detector === "insulation_check") sum += parameter(values, "detector.insulation_check");
    else sum += 1;
  }
  return sum / inverters.length;
}

/** Findings enter group by group; each step is what its group adds to those before, so shared places are respected. */
function findingSteps({ placed, places }: Pick<Prepared, "placed" | "places">, values: ParameterValues): Step[] {
  const items = weighFindings(placed, values);
  const groups = new Map<string, WeighedFinding[]>();
  for (const item of items) {
    const key = `${item.finding.source}/${item.finding.group}`;
    groups.set(key, [...(groups.get(key) ?? []), item]);
  }
  const steps: Step[] = [];
  let soFar: WeighedFinding[] = [];
  let before = findingLikelihood(soFar, places);
  for (const group of groups.values()) {
    soFar = [...soFar, ...group];
    const after = findingLikelihood(soFar, places);
    steps.push({
      source: (group[0] as WeighedFinding).finding.source,
      says: groupSentence(group.map((g) => g.finding)),
      log: minus(after, before),
    });
    before = after;
  }
  return steps;
}

/** Decibans of each step, in order: what it moved the log odds of a bonding defect by, and what would go without it. */
function weighSteps(steps: readonly Step[], total: Float64Array): EvidenceItem[] {
  const running = new Float64Array(CONFIGURATIONS.length);
  const whole = logOddsOf(total);
  let before = 0;
  return steps.map(({ source, says, log }) => {
    for (let k = 0; k < running.length; k++) running[k] = (running[k] as number) + (log[k] as number);
    const odds = logOddsOf(running);
    const weight = decibans(odds - before);
    before = odds;
    if (source === "prior") return { source, decibans: weight, says };
    return { source, decibans: weight, says, withoutDecibans: decibans(whole - logOddsOf(minus(total, log))) };
  });
}

/** Below this an item is no reason either way. */
const LEAST_REASON_DECIBANS = 0.5;

function strongestOf(evidence: readonly EvidenceItem[]): NonNullable<Diagnosis["strongest"]> {
  const weight = (item: EvidenceItem) => item.withoutDecibans ?? 0;
  const sorted = evidence
    .filter((e) => Math.abs(weight(e)) >= LEAST_REASON_DECIBANS)
    .sort((a, b) => weight(b) - weight(a));
  const [top] = sorted;
  const last = sorted.at(-1);
  return { ...(top && weight(top) > 0 && { for: top }), ...(last && weight(last) < 0 && { against: last }) };
}

const WITH_BONDING = EVERY_CONFIGURATION.filter((k) => (CONFIGURATIONS[k] as number) & BONDING_MASK);
const WITHOUT_BONDING = EVERY_CONFIGURATION.filter((k) => !((CONFIGURATIONS[k] as number) & BONDING_MASK));

function logOddsOf(logs: Float64Array): number {
  return logSumOver(logs, WITH_BONDING) - logSumOver(logs, WITHOUT_BONDING);
}

function logSumOver(logs: Float64Array, only: Int32Array): number {
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < only.length; i++) top = Math.max(top, logs[only[i] as number] as number);
  if (top === Number.NEGATIVE_INFINITY) return top;
  let sum = 0;
  for (let i = 0; i < only.length; i++) sum += Math.exp((logs[only[i] as number] as number) - top);
  return top + Math.log(sum);
}

/** Probabilities of some configurations from their logs; in a new array the others have none. */
function normalised(
  logs: Float64Array,
  only: Int32Array,
  out: Float64Array = new Float64Array(logs.length),
): Float64Array {
  let top = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < only.length; i++) top = Math.max(top, logs[only[i] as number] as number);
  let total = 0;
  for (let i = 0; i < only.length; i++) {
    const share = Math.exp((logs[only[i] as number] as number) - top);
    out[only[i] as number] = share;
    total += share;
  }
  for (let i = 0; i < only.length; i++) out[only[i] as number] = (out[only[i] as number] as number) / total;
  return out;
}

const MASKS = Int32Array.from(CONFIGURATIONS);

/** Probability that any cause of the mask is present. */
function massOf(posterior: Float64Array, mask: number, only: Int32Array = EVERY_CONFIGURATION): number {
  let sum = 0;
  for (let i = 0; i < only.length; i++) {
    const k = only[i] as number;
    if ((MASKS[k] as number) & mask) sum += posterior[k] as number;
  }
  // Kept off the ends, where odds would be infinite: the model is never that sure.
  return Math.min(1 - 1e-9, Math.max(1e-9, sum));
}

function band(p: number, draws: number[]): { p: number; low: number; high: number } {
  if (draws.length === 0) return { p, low: p, high: p };
  return { p, low: Math.min(p, sampleQuantile(draws, 0.05)), high: Math.max(p, sampleQuantile(draws, 0.95)) };
}

const added = (a: Float64Array, b: Float64Array): Float64Array => a.map((x, i) => x + (b[i] as number));
const minus = (a: Float64Array, b: Float64Array): Float64Array => a.map((x, i) => x - (b[i] as number));
function sumOf(logs: readonly Float64Array[]): Float64Array {
  const out = new Float64Array(CONFIGURATIONS.length);
  for (const log of logs) for (let k = 0; k < out.length; k++) out[k] = (out[k] as number) + (log[k] as number);
  return out;
}
