import { integerBelow, seededRng } from "../core/random.ts";
import { CAUSES } from "../core/records.ts";
import { normalQuantile } from "../core/statistics.ts";
import { type EventRates, eventRates } from "./event-likelihood.ts";
import { movedValue, type ParameterTable, type ParameterValues } from "./parameters.ts";
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

const known = new WeakMap<ParameterTable, Map<string, readonly DrawnTable[]>>();

/**
 * Tables drawn for a band, the same for every site: the numbers of the model are one set, known only so far, and not
 * one set a site. Two tables that differ in a row are drawn with the same dice, so what moves between them is the row.
 *
 * Each row takes every part of its spread once, in an order of its own (a Latin hypercube): over the draws it stands
 * neither high nor low, so what the rows add one by one to a belief has no error of drawing in its mean.
 *
 * @param count how many, 2 or more
 * @param seed another set of the same kind
 * @source McKay, Beckman and Conover 1979, Technometrics 21, 239-245 (from memory)
 * @shape kept for as long as the table itself
 */
export function drawnTables(table: ParameterTable, count: number, seed = "bands"): readonly DrawnTable[] {
  const ofTable = known.get(table) ?? new Map<string, readonly DrawnTable[]>();
  known.set(table, ofTable);
  const before = ofTable.get(`${count}/${seed}`);
  if (before) return before;
  const parts = normalParts(count);
  const rows = table.rows.map((row) => ({ row, steps: row.fixed ? null : shuffled(parts, `${seed}/${row.key}`) }));
  const shared = CAUSES.map((cause) => shuffled(parts, `${seed}/shared/${cause}`));
  const drawn = Array.from({ length: count }, (_, i) => {
    const values: ParameterValues = new Map(
      rows.map(({ row, steps }) => [row.key, steps ? movedValue(row, steps[i] as number) : row.value]),
    );
    return {
      values,
      rates: eventRates(values),
      base: baseLogOdds(values),
      sharedSteps: Float64Array.from(shared, (steps) => steps[i] as number),
    };
  });
  ofTable.set(`${count}/${seed}`, drawn);
  return drawn;
}

/** Middles of equally likely parts of a standard normal, brought to its mean and variance. */
function normalParts(count: number): Float64Array {
  const parts = Float64Array.from({ length: count }, (_, i) => normalQuantile((i + 0.5) / count));
  const sd = Math.sqrt(parts.reduce((sum, z) => sum + z * z, 0) / Math.max(1, count - 1));
  return sd > 0 ? parts.map((z) => z / sd) : parts;
}

function shuffled(parts: Float64Array, seed: string): Float64Array {
  const rng = seededRng(seed);
  const out = parts.slice();
  for (let i = out.length - 1; i > 0; i--) {
    const j = integerBelow(rng, i + 1);
    const kept = out[i] as number;
    out[i] = out[j] as number;
    out[j] = kept;
  }
  return out;
}
