import { promiseOf } from "../routes/plan-instance.ts";
import { type PlannedRoutes, planRoutes } from "../routes/plan-routes.ts";
import type { PlanOptions } from "../routes/prove-routes.ts";
import type { Routes } from "../routes/route-instance.ts";
import { dayByStop, planValue } from "./consequence.ts";
import { fixedVisits, type HeldPlan, openInstance } from "./held-plan.ts";
import { crewDayKey } from "./plan-holds.ts";

/** What staying on the day and crew that went out already counts for, as a share of a visit's value. Judgement. */
const STAY_BONUS = 0.02;

export interface PlannedHeld {
  routes: number[][];
  objective: number;
  bound: number | null;
  gap: number | null;
  hazards: PlannedRoutes["hazards"];
  /** Pinned visits that are not where they were pinned: a make-safe visit outranks them, or nobody works there now. */
  pinsBroken: string[];
}

/**
 * A plan that keeps what people have fixed. Visits that were promised stay on the crew and day that an earlier plan gave
 * them; only those that then find no place are planned freely, so that as few as possible move.
 *
 * @param previous routes that went out before; null: none did, and nothing is held for their sake
 */
export async function planHeld(held: HeldPlan, previous: Routes | null, options: PlanOptions): Promise<PlannedHeld> {
  const days = previous ? dayByStop(previous) : new Map<number, number>();
  const keep = new Map(
    [...days].filter(([visit, day]) => {
      const asked = held.input.visits[visit];
      const offer = held.planned.instance.stops[visit]?.offers[day];
      return asked && offer && promiseOf(asked, held.input.from) !== null;
    }),
  );
  const stay = { days, bonus: previous ? STAY_BONUS : 0 };
  let found = await planRoutes(openInstance(held, keep, stay), options);
  for (let round = 0; round < 2; round++) {
    const served = new Set(found.routes.flat());
    const fixed = fixedVisits(held);
    const lost = [...keep.keys()].filter((visit) => !served.has(visit) && !fixed.has(visit));
    if (lost.length === 0) break;
    for (const visit of lost) keep.delete(visit);
    found = await planRoutes(openInstance(held, keep, stay), options);
  }
  const routes = found.routes.map((route, day) => {
    const frozen = held.begun.get(day)?.stops.flatMap(({ visitId }) => held.visitOf.get(visitId) ?? []) ?? [];
    return [...(held.locked.get(day) ?? [...frozen, ...route])];
  });
  const objective = planValue(held, routes);
  const kept = planValue(
    held,
    routes.map((route) => route.filter((stop) => fixedVisits(held).has(stop))),
  );
  const bound = found.bound === null ? null : Math.max(objective, found.bound + kept);
  const dayNow = dayByStop(routes);
  const isKept = (pin: (typeof held.holds.pins)[number]) =>
    dayNow.get(held.visitOf.get(pin.visitId) ?? -1) === (held.dayOf.get(crewDayKey(pin)) ?? Number.NaN);
  return {
    routes,
    objective,
    bound,
    gap: bound === null ? null : bound > 0 ? (bound - objective) / bound : 0,
    hazards: found.hazards,
    pinsBroken: held.holds.pins.filter((pin) => !isKept(pin)).map((pin) => pin.visitId),
  };
}
