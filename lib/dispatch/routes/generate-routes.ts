import type { PlanOptions } from "./plan-options.ts";
import { priceRoutes } from "./price-routes.ts";
import { type PricingGround, pricingGround } from "./pricing-ground.ts";
import type { RouteInstance } from "./route-instance.ts";
import type { RoutePool } from "./route-pool.ts";
import type { PackingDuals, PackingModel } from "./set-packing.ts";

/** Prices under which the lowest bound was reached: of each stop, and the most that a route of each crew-day gains. */
export interface BoundPrices {
  stops: readonly number[];
  most: readonly number[];
}

export interface Generated {
  bound: number | null;
  prices: BoundPrices | null;
}

/** How much of the best prices so far goes into the next ones (Wentges 1997). */
const SMOOTHING = 0.5;
const CLOSE_ENOUGH = 2e-4;
/** New routes of a crew-day and round below which prices are no longer mixed. */
const FEW_NEW = 2;
/** Routes kept of each pricing. */
const KEPT = 60;
/** Share of what a route could gain at most, by a looser bound, that it must gain to be taken in. */
const REACH = 0.6;

/**
 * Routes priced into the pool until none is left that could pay, or the rounds are used up. Every round gives a bound by
 * Lagrange: the prices of the stops, and for each crew-day the most that any of its routes gains at them.
 */
export async function generateRoutes(
  instance: RouteInstance,
  pool: RoutePool,
  model: PackingModel,
  must: ReadonlySet<number>,
  options: PlanOptions,
): Promise<Generated> {
  const grounds: PricingGround[] = instance.crewDays.map((_, day) => pricingGround(instance, day));
  let bound: number | null = null;
  let best: BoundPrices | null = null;
  let smoothing = SMOOTHING;
  for (let round = 0; round < options.pricingRounds && !options.stopped?.(); round++) {
    options.onStep?.({ stage: "bound", done: round, of: options.pricingRounds });
    pool.sendTo(model);
    const duals = pool.columns.length > 0 ? await model.relax() : nothing(instance);
    if (!duals) break;
    // A price below 0 is no price for a stop that may be left out; the solver's rounding can give one.
    const asked = duals.stops.map((price, index) => (must.has(index) ? price : Math.max(0, price)));
    const floors = duals.days.map((price) => Math.max(0, price));
    const held: BoundPrices | null = best;
    const mix = (from: number | undefined, to: number) =>
      from === undefined ? to : smoothing * from + (1 - smoothing) * to;
    const prices: number[] = asked.map((price, index) => mix(held?.stops[index], price));
    const least = floors.map((floor, day) => Math.min(floor, mix(held?.most[day], floor)));
    const most: number[] = [];
    let upper: number = prices.reduce((total: number, price: number) => total + price, 0);
    const before = pool.columns.length;
    for (let day = 0; day < instance.crewDays.length; day++) {
      // What was left off a day undone must not be taken for a bound.
      if (options.stopped?.()) return { bound, prices: best };
      const limits = { floor: least[day] as number, nodes: options.pricingNodes, kept: KEPT, reach: REACH };
      const priced = priceRoutes(instance, day, prices, limits, grounds[day] as PricingGround);
      for (const stops of priced.routes) {
        pool.add(day, stops);
        pool.addOnSisters(day, stops, asked, floors);
      }
      most.push(priced.most);
      upper += priced.most;
    }
    if (Number.isFinite(upper) && (bound === null || upper < bound)) {
      bound = upper;
      best = { stops: prices, most };
      options.onBound?.(bound);
    }
    if (bound !== null && bound - duals.value <= CLOSE_ENOUGH * Math.abs(bound)) break;
    const fresh = pool.columns.length - before;
    if (fresh === 0 && smoothing === 0) break;
    // Little new at mixed prices: what is left shows at the relaxation's own.
    smoothing = fresh < FEW_NEW * instance.crewDays.length ? 0 : SMOOTHING;
  }
  return { bound, prices: best };
}

/** Before any route is known everything is free. */
const nothing = ({ stops, crewDays }: RouteInstance): PackingDuals => ({
  value: 0,
  stops: stops.map(() => 0),
  days: crewDays.map(() => 0),
});
