import type { SearchOptions } from "./search-routes.ts";
import type { SetPackingSolver } from "./set-packing.ts";

/** Where a search stands: `first` the hazards, `search` for routes, `bound` on any plan, `choice` among all routes met. */
export interface PlanStep {
  stage: "first" | "search" | "bound" | "choice";
  done: number;
  of: number;
}

export interface PlanOptions extends SearchOptions {
  solver: SetPackingSolver | null;
  /** Rounds of pricing, 0 for no bound. */
  pricingRounds: number;
  /** Nodes of each pricing tree. */
  pricingNodes: number;
  /** Nodes of the choice among the routes known. */
  choiceNodes: number;
  /** Told of each bound lower than all before it. */
  onBound?: (bound: number) => void;
  /** Told now and then where it stands; of a stage it may end before all is done. */
  onStep?: (step: PlanStep) => void;
}
