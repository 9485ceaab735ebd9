import { CAUSES, type Cause, type Inspection } from "../core/records.ts";
import { BONDING_MASK, CONFIGURATIONS, EVERY_CONFIGURATION } from "./configurations.ts";
import type { DiagnoseInput } from "./diagnose-input.ts";
import type { Diagnosis } from "./diagnosis.ts";
import { causeBandsOf, configurationsThatMatter, drawnProbabilities } from "./drawn-belief.ts";
import { drawnTables } from "./drawn-tables.ts";
import { energizedProbability } from "./energized-metal.ts";
import type { EventBasis } from "./event-basis.ts";
import { detectorFactor, overdispersionOf } from "./event-terms.ts";
import { findingSteps, type Step, settledSteps, strongestOf, weighSteps } from "./evidence-steps.ts";
import { type PlacedFinding, placedLikelihood, withNewest } from "./finding-likelihood.ts";
import { inspectionFinding } from "./findings.ts";
import { diagnosisGaps, diagnosisNotes } from "./gaps.ts";
import { type ParameterTable, type ParameterValues, valuesOf } from "./parameters.ts";
import { band, causesOf, massOf, minus, normalised, sumOf } from "./posterior.ts";
import { type Prepared, prepare } from "./prepared-site.ts";

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

/** Room for what one more check makes. */
const TERM = new Float64Array(CONFIGURATIONS.length);
const POSTERIOR = new Float64Array(CONFIGURATIONS.length);

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

const byCause = (of: Float64Array) =>
  Object.fromEntries(CAUSES.flatMap((c, i) => (of[i] === 0 ? [] : [[c, of[i]]]))) as Partial<Record<Cause, number>>;

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
