import { normalDeviate, type Rng } from "../core/random.ts";
import { CAUSES, type Cause, type Instant, type Repair, type SiteRecords } from "../core/records.ts";
import { decibans, logSumExp, sampleQuantile } from "../core/statistics.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { BONDING_MASK, CONFIGURATIONS } from "./configurations.ts";
import type { Diagnosis, EvidenceItem } from "./diagnosis.ts";
import { energizedProbability } from "./energized-metal.ts";
import {
  ALL_STATES,
  countLikelihood,
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
  placesOf,
  type WeighedFinding,
  weighFindings,
} from "./finding-likelihood.ts";
import { type Finding, findingsOf } from "./findings.ts";
import { diagnosisGaps, diagnosisNotes } from "./gaps.ts";
import { drawValues, type ParameterTable, type ParameterValues, parameter, valuesOf } from "./parameters.ts";
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
 * @shape O(draws x configurations x (states + findings)); deterministic for a given rng
 */
export function diagnose(
  input: DiagnoseInput,
  parameters: ParameterTable,
  options: { draws: number; rng: Rng },
): Diagnosis {
  const values = valuesOf(parameters);
  const prepared = prepare(input, values);
  const steps = evidenceSteps(prepared, values);
  const total = sumOf(steps.map((s) => s.log));
  const posterior = normalised(total);
  const p = massOf(posterior, BONDING_MASK);
  const energized = energizedProbability(posterior, prepared.summary, values);
  const drawn = Array.from({ length: options.draws }, () => {
    const v = drawValues(parameters, options.rng);
    const post = normalised(
      sumOf(
        evidenceSteps({ ...prepared, shared: drawnShared(prepared.shared, options.rng) }, v, false).map((s) => s.log),
      ),
    );
    return { bonding: massOf(post, BONDING_MASK), energized: energizedProbability(post, prepared.summary, v) };
  });
  const evidence = weighSteps(steps, total);
  return {
    bondingDefect: band(
      p,
      drawn.map((d) => d.bonding),
    ),
    energizedMetal: band(
      energized,
      drawn.map((d) => d.energized),
    ),
    causes: Object.fromEntries(CAUSES.map((c, i) => [c, massOf(posterior, 1 << i)])) as Record<Cause, number>,
    evidence,
    strongest: strongestOf(evidence),
    ...(prepared.shared && { sharedLogOdds: byCause(prepared.shared.shift) }),
    gaps: diagnosisGaps(input.records, input.asOf),
    notes: diagnosisNotes(prepared.findings),
  };
}

/** The shifts of a site's groups are themselves known only so far. */
function drawnShared(shared: SharedShifts | null, rng: Rng): SharedShifts | null {
  return shared && { ...shared, shift: shared.shift.map((x, c) => x + (shared.sd[c] as number) * normalDeviate(rng)) };
}

function prepare(input: DiagnoseInput, values: ParameterValues): Prepared {
  const { records, correlation, asOf } = input;
  const attributes = siteAttributes(records, asOf);
  const summary = eventSummary(records, correlation, asOf);
  const repairs = causeRepairs(records, asOf);
  const findings = findingsOf(records, asOf, correlation.readings);
  return {
    input,
    attributes,
    summary,
    repairs,
    says: evidenceSentences(attributes, summary, correlation, repairs),
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

/**
 * The evidence as steps whose logs add up: prior, attributes, repairs, events, signatures, findings by group.
 * @param apart false: prior, attributes and repairs in one step and all findings in one, which is all a band needs
 */
function evidenceSteps(prepared: Prepared, values: ParameterValues, apart = true): Step[] {
  const { records } = prepared.input;
  const { says, repairs } = prepared;
  const base = baseLogOdds(values);
  const described = added(base, attributeLogOdds(prepared.attributes, values));
  const grouped = prepared.shared ? added(described, prepared.shared.shift) : described;
  const mended = added(grouped, repairLogOdds(repairs, values, records.sections.length));
  const rest = [...eventSteps(prepared, values), ...findingSteps(prepared, values, apart)];
  if (!apart) return [{ source: "prior", says: says.prior, log: configurationPrior(mended) }, ...rest];
  const priors = [base, described, grouped, mended].map(configurationPrior) as [
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
  return [...steps, ...rest];
}

function eventSteps({ input, summary, says }: Prepared, values: ParameterValues): Step[] {
  if (input.correlation.window === null) return [];
  const rates = eventRates(values, detectorFactor(input.records, values));
  const phi = Math.max(parameter(values, "events.overdispersion"), Math.min(5, input.correlation.overdispersion));
  const s = summary.signature;
  const share = (shareOf: ShareOf, kind: "clears" | "several" | "late" | "dawn", states: readonly number[]) =>
    shareLikelihood(shareOf, kind, summary, rates, states);
  const steps: Step[] = [
    {
      source: "events",
      says: says.events,
      log: countLikelihood(summary, rates, parameter(values, "repair.presentBefore"), phi),
    },
  ];
  if (s.clearable > 0)
    steps.push({
      source: "clearing",
      says: says.clearing,
      log: share((x) => ({ hits: x.cleared, trials: x.clearable }), "clears", WATER_STATES),
    });
  if (s.severable > 0)
    steps.push({
      source: "signature",
      says: says.several,
      log: share((x) => ({ hits: x.several, trials: x.severable }), "several", ALL_STATES),
    });
  if (s.afterRain > 0)
    steps.push({
      source: "lag",
      says: says.late,
      log: share((x) => ({ hits: x.late, trials: x.afterRain }), "late", RAIN_STATES),
    });
  if (s.dawnable > 0)
    steps.push({
      source: "dawn",
      says: says.dawn,
      log: share((x) => ({ hits: x.atDawn, trials: x.dawnable }), "dawn", ALL_STATES),
    });
  return steps;
}

/**
 * A detector that misses some faults, or looks only at start, trips less for the same defect: the mean over the site's
 * inverters, as a cause may sit at any of them.
 */
function detectorFactor({ inverters }: SiteRecords, values: ParameterValues): number {
  if (inverters.length === 0) return 1;
  const factors = inverters.map(({ detector }) =>
    detector === "fuse" || detector === "insulation_check" ? parameter(values, `detector.${detector}`) : 1,
  );
  return factors.reduce((sum, f) => sum + f, 0) / factors.length;
}

/**
 * Findings enter group by group; each step is what its group adds to those before, so shared places are respected.
 * @param apart false: all findings in one step, which is all that a band needs
 */
function findingSteps({ placed, places }: Prepared, values: ParameterValues, apart: boolean): Step[] {
  const items = weighFindings(placed, values);
  if (!apart) return [{ source: "findings", says: "", log: findingLikelihood(items, places) }];
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

function logOddsOf(logs: Float64Array): number {
  const yes: number[] = [];
  const no: number[] = [];
  CONFIGURATIONS.forEach((mask, k) => {
    (mask & BONDING_MASK ? yes : no).push(logs[k] as number);
  });
  return logSumExp(yes) - logSumExp(no);
}

function normalised(logs: Float64Array): Float64Array {
  const total = logSumExp(logs);
  return logs.map((x) => Math.exp(x - total));
}

/** Probability that any cause of the mask is present. */
function massOf(posterior: Float64Array, mask: number): number {
  let sum = 0;
  for (let k = 0; k < posterior.length; k++) if ((CONFIGURATIONS[k] as number) & mask) sum += posterior[k] as number;
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
