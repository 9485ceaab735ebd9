import type { Cause } from "../core/records.ts";
import { CONFIGURATIONS, causeBit } from "./configurations.ts";
import type { EventSummary } from "./event-summary.ts";
import { type ParameterValues, parameter } from "./parameters.ts";

/** Causes that leave metal without a sound path to earth. */
const LOOSE: readonly Cause[] = ["open_section_bond", "high_resistance_bond", "isolated_electrode", "egc_broken"];
/** Causes that let current out of the circuit. */
const LEAKS: readonly Cause[] = ["conductor_insulation", "connector_ingress", "module_insulation", "surge_damage"];
const LOOSE_MASK = LOOSE.reduce((mask, c) => mask | causeBit(c), 0);
const LEAK_MASK = LEAKS.reduce((mask, c) => mask | causeBit(c), 0);
const UNDERSIZED = causeBit("egc_undersized");
const DETECTOR = causeBit("detector_fault");

/**
 * Probability that metal someone can touch may be energised: a defect of the path to earth and a leak at once.
 *
 * Each ground-fault episode of the last twelve months is itself evidence of a leak at that time, even where no
 * insulation cause is named, unless a detector that trips by itself explains it as well. Without episodes a leak has a
 * small standing chance: it may be there and not have tripped.
 */
export function energizedProbability(posterior: Float64Array, summary: EventSummary, values: ParameterValues): number {
  const perEpisode = parameter(values, "leak.byEpisode");
  const silent = parameter(values, "leak.silent");
  const named = parameter(values, "leak.ofCause");
  const undersized = parameter(values, "touch.undersized");
  const byEpisodes = 1 - (1 - silent) * (1 - perEpisode) ** Math.min(summary.recentEpisodes, 6);
  let sum = 0;
  CONFIGURATIONS.forEach((mask, k) => {
    const loose = mask & LOOSE_MASK ? 1 : mask & UNDERSIZED ? undersized : 0;
    if (loose === 0) return;
    const explained = mask & DETECTOR ? 0.5 : 1;
    const leak = Math.max(byEpisodes * explained, silent, mask & LEAK_MASK ? named : 0);
    sum += (posterior[k] as number) * loose * leak;
  });
  return Math.min(1, sum);
}
