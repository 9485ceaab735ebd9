import { BONDING_CAUSES, CAUSES, type Cause } from "../../core/records.ts";
import type { PlanBasis } from "./stored-plan.ts";

export interface ScoredChances {
  bonding: { p: number; low: number; high: number };
  causes: Readonly<Partial<Record<Cause, number>>>;
}

/**
 * How many defects a visit is expected to find: each cause's probability times the chance that a visit finds it. The band
 * takes the bonding family down and up as the band of its probability does; the other causes have no band of their own
 * and are taken as they are.
 */
export function expectedFinds(
  { bonding, causes }: ScoredChances,
  findChance: Readonly<Record<Cause, number>>,
): NonNullable<PlanBasis["expected"]> {
  const found = CAUSES.map((cause) => ({
    bonding: (BONDING_CAUSES as readonly Cause[]).includes(cause),
    p: (causes[cause] ?? 0) * (findChance[cause] ?? 0),
  }));
  const sum = (part: typeof found) => part.reduce((total, each) => total + each.p, 0);
  const family = sum(found.filter((each) => each.bonding));
  const others = sum(found.filter((each) => !each.bonding));
  const share = (edge: number) => (bonding.p > 0 ? edge / bonding.p : 1);
  return {
    found: family + others,
    low: family * Math.min(1, share(bonding.low)) + others,
    high: family * Math.max(1, share(bonding.high)) + others,
    chances: found.map((each) => each.p),
  };
}
