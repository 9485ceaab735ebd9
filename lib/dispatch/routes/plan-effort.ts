import type { PlanOptions } from "./plan-options.ts";

/** Effort of a plan that nobody asked for more or less of: about a minute for 500 visits, 5 crews and 5 days. */
export const USUAL_EFFORT = 400;

/**
 * What an effort stands for: rounds of the search, rounds of pricing, nodes of the choice. Counts, not seconds, so that
 * the same seed and effort give the same plan on any machine. At 0 there is the first plan alone, without a bound.
 */
export function planEffort(
  effort: number,
): Pick<PlanOptions, "effort" | "pricingRounds" | "pricingNodes" | "choiceNodes"> {
  if (effort === 0) return { effort, pricingRounds: 0, pricingNodes: 0, choiceNodes: 0 };
  return {
    effort,
    pricingRounds: Math.min(60, 4 + Math.ceil(effort / 20)),
    pricingNodes: 20_000,
    choiceNodes: Math.max(5, Math.ceil(effort / 10)),
  };
}
