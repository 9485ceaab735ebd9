import type { SearchOptions } from "./search-routes.ts";
import type { SetPackingSolver } from "./set-packing.ts";

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
}
