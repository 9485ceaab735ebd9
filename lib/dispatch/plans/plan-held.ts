import { promiseOf } from "../routes/plan-instance.ts";
import type { PlanOptions } from "../routes/plan-options.ts";
import { type PlannedRoutes, planRoutes, type RoutePlanner } from "../routes/plan-routes.ts";
import { gapOf } from "../routes/prove-routes.ts";
import type { Routes } from "../routes/route-instance.ts";
import { dayByStop, planValue } from "./consequence.ts";
import { drivenDay } from "./driven-day.ts";
import { fixedVisits, type HeldPlan, openInstance, type PinRules } from "./held-plan.ts";
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
  /** Make-safe visits that would be made on an earlier day if nothing was pinned. */
  heldBack: string[];
}

/**
 * A plan that keeps what people have fixed. Visits that were promised stay on the crew and day that an earlier plan gave
 * them; only those that then find no place are planned freely, so that as few as possible move.
 *
 * @param previous routes that went out before; null: none did, and nothing is held for their sake
 * @param plan what plans an instance; another thread's, say
 * @param seen the plan that its pins were set in: they may keep a make-safe visit from an earlier day than there, and
 * that is told, but not put it on a later one
 */
export async function planHeld(
  held: HeldPlan,
  previous: Routes | null,
  options: PlanOptions,
  seen: Routes | null = previous,
  plan: RoutePlanner = planRoutes,
): Promise<PlannedHeld> {
  const days = previous ? dayByStop(previous) : new Map<number, number>();
  const keep = new Map(
    [...days].filter(([visit, day]) => {
      const asked = held.input.visits[visit];
      const offer = held.planned.instance.stops[visit]?.offers[day];
      return asked && offer && promiseOf(asked, held.input.from) !== null;
    }),
  );
  const stay = { days, bonus: previous ? STAY_BONUS : 0 };
  let heldBack: string[] = [];
  let found = await freed(held, keep, stay, options, {}, plan);
  const lost = held.holds.pins.some((pin) => !isServed(held, found.routes, pin.visitId));
  if (lost && seen) {
    // Planned beside the make-safe visits, none of which then goes to a later date than the one it was seen on.
    const beside = await freed(held, keep, stay, options, { pinTier: 2, latest: hazardDates(held, seen) }, plan);
    if (hazardsLaterDays(held, seen, beside.routes).length === 0) {
      heldBack = hazardsLaterDays(held, found.routes, beside.routes);
      found = beside;
    }
  }
  const routes = withFixed(held, found.routes);
  const objective = planValue(held, routes);
  const kept = keptValue(held);
  const bound = found.bound === null ? null : Math.max(objective, found.bound + kept);
  const dayNow = dayByStop(routes);
  const isKept = (pin: (typeof held.holds.pins)[number]) =>
    dayNow.get(held.visitOf.get(pin.visitId) ?? -1) === (held.dayOf.get(crewDayKey(pin)) ?? Number.NaN);
  return {
    routes,
    objective,
    bound,
    gap: gapOf(objective, bound),
    hazards: found.hazards,
    heldBack,
    pinsBroken: held.holds.pins.filter((pin) => !isKept(pin)).map((pin) => pin.visitId),
  };
}

/** Routes of what was open to plan, with the locked ones and what is done or under way. */
export function withFixed(held: HeldPlan, open: Routes): number[][] {
  return open.map((route, day) => {
    const frozen = held.begun.get(day)?.stops.flatMap(({ visitId }) => held.visitOf.get(visitId) ?? []) ?? [];
    return [...(held.locked.get(day) ?? [...frozen, ...route])];
  });
}

/** What the fixed visits bring, which the open instance does not know of. */
export function keptValue(held: HeldPlan): number {
  const { stops } = held.planned.instance;
  const locked = [...held.locked].reduce((sum, [day, route]) => sum + drivenDay(held, day, route).value, 0);
  const frozen = [...held.begun].filter(([day]) => !held.locked.has(day));
  return frozen.reduce((sum, [day, begun]) => {
    const own = begun.stops.map(({ visitId }) => stops[held.visitOf.get(visitId) ?? -1]?.offers[day]?.value ?? 0);
    return sum + own.reduce((total, value) => total + value, 0);
  }, locked);
}

/** Plans with promised visits held where they were; those that find no place are let go, and it is planned again. */
async function freed(
  held: HeldPlan,
  keep: ReadonlyMap<number, number>,
  stay: { days: ReadonlyMap<number, number>; bonus: number },
  options: PlanOptions,
  pins: PinRules,
  plan: RoutePlanner,
): Promise<PlannedRoutes> {
  const kept = new Map(keep);
  const fixed = fixedVisits(held);
  for (let round = 0; ; round++) {
    const found = await plan(openInstance(held, kept, stay, pins), options);
    const served = new Set(found.routes.flat());
    const lost = [...kept.keys()].filter((visit) => !served.has(visit) && !fixed.has(visit));
    if (lost.length === 0 || round === 2) return found;
    for (const visit of lost) kept.delete(visit);
  }
}

function isServed(held: HeldPlan, routes: Routes, visitId: string): boolean {
  const visit = held.visitOf.get(visitId) ?? -1;
  return fixedVisits(held).has(visit) || routes.some((route) => route.includes(visit));
}

const dateOf = (held: HeldPlan, day: number | undefined) =>
  (day === undefined ? null : held.planned.shifts[day]?.day) ?? "later";

/** The dates on which routes serve make-safe visits that are still to be planned. */
function hazardDates(held: HeldPlan, routes: Routes): Map<number, string> {
  const fixed = fixedVisits(held);
  const isOpen = (visit: number) => held.input.visits[visit]?.urgency === "make_safe" && !fixed.has(visit);
  const entries = [...dayByStop(routes)].filter(([visit]) => isOpen(visit));
  return new Map(entries.map(([visit, day]) => [visit, dateOf(held, day)]));
}

/** Make-safe visits that some routes serve and others serve on a later date or not at all. */
function hazardsLaterDays(held: HeldPlan, before: Routes, after: Routes): string[] {
  const now = dayByStop(after);
  return [...hazardDates(held, before)].flatMap(([visit, date]) =>
    dateOf(held, now.get(visit)) > date ? [held.input.visits[visit]?.visitId ?? ""] : [],
  );
}
