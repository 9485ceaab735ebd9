import type { PlanInput, Refusal } from "./plan-input.ts";
import type { PlanInstance } from "./plan-instance.ts";
import { type Routes, routeCost } from "./route-instance.ts";
import { type PlannedDay, walkRoute } from "./walk-route.ts";

export interface PlanSheet {
  days: PlannedDay[];
  unserved: (Refusal & { visitId: string; siteId: string })[];
}

/** Routes with times: a crew leaves its base so as not to wait at the first stop. And who is not served, and why. */
export function planSheet(input: PlanInput, planned: PlanInstance, routes: Routes): PlanSheet {
  const served = new Set(routes.flat());
  return {
    days: routes.flatMap((route, day) => (route.length > 0 ? [walkRoute(input, planned, day, route).day] : [])),
    unserved: input.visits.flatMap((visit, index) => {
      if (served.has(index)) return [];
      const refusal = planned.refused.get(visit.visitId) ?? notWorthTrip(input, planned, index) ?? NOT_ENOUGH_HOURS;
      return [{ visitId: visit.visitId, siteId: visit.site.siteId, ...refusal }];
    }),
  };
}

const NOT_ENOUGH_HOURS: Refusal = {
  code: "not_enough_hours",
  why: "The hours of the crews that could go are taken by visits that come first or avoid more loss.",
};

/** That no crew-day's trip for this visit alone would pay, and what would make it; null where one would. */
function notWorthTrip(input: PlanInput, { instance }: PlanInstance, index: number): Refusal | null {
  const stop = instance.stops[index] as (typeof instance.stops)[number];
  if (stop.tier > 0) return null;
  let best: { short: number; value: number; cost: number } | null = null;
  stop.offers.forEach((offer, day) => {
    if (!offer) return;
    const cost = routeCost(instance, day, [index]);
    const short = cost - offer.value;
    if (best === null || short < best.short) best = { short, value: offer.value, cost };
  });
  const found = best as { short: number; value: number; cost: number } | null;
  if (!found || found.short <= 0) return null;
  const money = (amount: number) => `${Math.ceil(amount)}${input.currency ? ` ${input.currency}` : ""}`;
  return {
    code: "not_worth_trip",
    why: `Its cheapest trip costs ${money(found.cost)} and is expected to avoid ${money(found.value)}. ${money(found.short)} more of loss avoided, or a visit near by on the same day, would make it worth the trip. That is no clearance.`,
  };
}
