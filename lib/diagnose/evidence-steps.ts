import { decibans } from "../core/statistics.ts";
import { CONFIGURATIONS, EVERY_CONFIGURATION } from "./configurations.ts";
import type { Diagnosis, EvidenceItem } from "./diagnosis.ts";
import { eventRates } from "./event-likelihood.ts";
import { groupSentence } from "./evidence-sentences.ts";
import { findingLikelihood, type WeighedFinding, weighFindings } from "./finding-likelihood.ts";
import type { ParameterValues } from "./parameters.ts";
import { added, logOddsOf, minus } from "./posterior.ts";
import type { Prepared } from "./prepared-site.ts";
import { attributeLogOdds, baseLogOdds, configurationPrior, repairLogOdds } from "./prior.ts";

export interface Step {
  source: string;
  says: string;
  /** Log-likelihood (or log prior) of this step under each configuration. */
  log: Float64Array;
}

/** Everything before the findings. */
export function settledSteps(prepared: Prepared, values: ParameterValues): Step[] {
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

/** Findings enter group by group; each step is what its group adds to those before, so shared places are respected. */
export function findingSteps({ placed, places }: Pick<Prepared, "placed" | "places">, values: ParameterValues): Step[] {
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
export function weighSteps(steps: readonly Step[], total: Float64Array): EvidenceItem[] {
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

export function strongestOf(evidence: readonly EvidenceItem[]): NonNullable<Diagnosis["strongest"]> {
  const weight = (item: EvidenceItem) => item.withoutDecibans ?? 0;
  const sorted = evidence
    .filter((e) => Math.abs(weight(e)) >= LEAST_REASON_DECIBANS)
    .sort((a, b) => weight(b) - weight(a));
  const [top] = sorted;
  const last = sorted.at(-1);
  return { ...(top && weight(top) > 0 && { for: top }), ...(last && weight(last) < 0 && { against: last }) };
}
