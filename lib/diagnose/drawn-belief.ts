import { CAUSES, type Cause } from "../core/records.ts";
import { BONDING_MASK, CONFIGURATIONS, EVERY_CONFIGURATION } from "./configurations.ts";
import type { Diagnosis } from "./diagnosis.ts";
import type { DrawnTable } from "./drawn-tables.ts";
import { energizedProbability } from "./energized-metal.ts";
import { placedLikelihood } from "./finding-likelihood.ts";
import { band, causeMasses, massOf, normalised } from "./posterior.ts";
import type { Prepared } from "./prepared-site.ts";
import { attributeLogOdds, configurationPrior, repairLogOdds } from "./prior.ts";

export function causeBandsOf(causes: Record<Cause, number>, drawn: readonly Float64Array[]): Diagnosis["causeBands"] {
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
export function configurationsThatMatter(posterior: Float64Array): Int32Array {
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
export function drawnProbabilities(prepared: Prepared, table: DrawnTable, matter: Int32Array) {
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
