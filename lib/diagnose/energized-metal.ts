import { BONDING_CAUSES, CAUSES, type Cause } from "../core/records.ts";
import { CONFIGURATIONS, causeBit, EVERY_CONFIGURATION } from "./configurations.ts";
import type { EventSummary } from "./event-summary.ts";
import { type ParameterValues, parameter } from "./parameters.ts";

/** Causes that let current out of the circuit. */
const LEAKS: readonly Cause[] = ["conductor_insulation", "connector_ingress", "module_insulation", "surge_damage"];
const LEAK_MASK = LEAKS.reduce((mask, c) => mask | causeBit(c), 0);
const TOUCH = BONDING_CAUSES.map((c) => ({ bit: 1 << CAUSES.indexOf(c), key: `touch.${c}` }));
const DETECTOR = causeBit("detector_fault");
const BITS = Int32Array.from(TOUCH, ({ bit }) => bit);

/** What a table says of leaks and of touch, gathered once: it is asked for every draw of every site. */
interface TouchTable {
  /** How far each defect lets the metal rise. */
  lifts: Float64Array;
  silent: number;
  named: number;
  byEpisode: number;
}

const ofTables = new WeakMap<ParameterValues, TouchTable>();

function touchUnder(values: ParameterValues): TouchTable {
  let table = ofTables.get(values);
  if (!table) {
    table = {
      lifts: Float64Array.from(TOUCH, ({ key }) => Math.min(1, parameter(values, key))),
      silent: parameter(values, "leak.silent"),
      named: parameter(values, "leak.ofCause"),
      byEpisode: parameter(values, "leak.byEpisode"),
    };
    ofTables.set(values, table);
  }
  return table;
}
/** Episodes beyond this add nothing: they are of one site and one leak. */
const MOST_EPISODES = 6;

/**
 * Probability that metal someone can touch may be energised: a defect of the path to earth and a leak at once.
 *
 * How far a defect lets the metal rise differs: an open bond or a broken conductor leaves it floating, a bond with some
 * resistance or a loose electrode holds it down in part. Each ground-fault episode of the last twelve months is itself
 * evidence of a leak, even where no insulation cause is named, unless a detector that trips by itself explains it as
 * well. Without episodes a leak has a small standing chance: it may be there and not have tripped.
 *
 * @param only configurations that have any probability
 */
export function energizedProbability(
  posterior: Float64Array,
  summary: EventSummary,
  values: ParameterValues,
  only: Int32Array = EVERY_CONFIGURATION,
): number {
  const { lifts, silent, named, byEpisode } = touchUnder(values);
  const episodes = Math.min(summary.recentEpisodes, MOST_EPISODES);
  const byEpisodes = 1 - (1 - silent) * (1 - byEpisode) ** episodes;
  let sum = 0;
  for (let i = 0; i < only.length; i++) {
    const k = only[i] as number;
    const mask = CONFIGURATIONS[k] as number;
    let loose = 0;
    for (let t = 0; t < BITS.length; t++) {
      const lift = lifts[t] as number;
      if (mask & (BITS[t] as number) && lift > loose) loose = lift;
    }
    if (loose === 0) continue;
    const explained = mask & DETECTOR ? 0.5 : 1;
    const leak = Math.max(byEpisodes * explained, silent, mask & LEAK_MASK ? named : 0);
    sum += (posterior[k] as number) * loose * leak;
  }
  return Math.min(1, sum);
}
