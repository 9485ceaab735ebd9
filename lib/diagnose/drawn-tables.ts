import { normalDeviate, seededRng } from "../core/random.ts";
import { CAUSES } from "../core/records.ts";
import { type EventRates, eventRates } from "./event-likelihood.ts";
import { drawValues, type ParameterTable, type ParameterValues } from "./parameters.ts";
import { baseLogOdds } from "./prior.ts";

/** A table drawn from the spreads, with what every site takes from it gathered once. */
export interface DrawnTable {
  values: ParameterValues;
  rates: EventRates;
  /** Log odds of each cause before anything is known of a site. */
  base: Float64Array;
  /** Standard normal steps of what the groups of a site add, by cause. */
  sharedSteps: Float64Array;
}

const known = new WeakMap<ParameterTable, Map<number, readonly DrawnTable[]>>();

/**
 * Tables drawn for a band, the same for every site: the numbers of the model are one set, known only so far, and not
 * one set a site. Two tables that differ in a row are drawn with the same dice, so what moves between them is the row.
 *
 * @param count how many; the first n of a larger count are the same
 * @shape kept for as long as the table itself
 */
export function drawnTables(table: ParameterTable, count: number): readonly DrawnTable[] {
  const ofTable = known.get(table) ?? new Map<number, readonly DrawnTable[]>();
  known.set(table, ofTable);
  const before = ofTable.get(count);
  if (before) return before;
  const drawn = Array.from({ length: count }, (_, i) => {
    const rng = seededRng(`bands/${i}`);
    const values = drawValues(table, rng);
    return {
      values,
      rates: eventRates(values),
      base: baseLogOdds(values),
      sharedSteps: Float64Array.from(CAUSES, () => normalDeviate(rng)),
    };
  });
  ofTable.set(count, drawn);
  return drawn;
}
