import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { seededRng } from "../core/random.ts";
import { drivenDay } from "../dispatch/plans/driven-day.ts";
import { heldPlan } from "../dispatch/plans/held-plan.ts";
import { planHeld } from "../dispatch/plans/plan-held.ts";
import { crewDayKey } from "../dispatch/plans/plan-holds.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { loadPlan } from "./load-plan.ts";
import type { AddedDayView } from "./plan-board-view.ts";

export const AddedDayQuery = z.object({ crewId: z.string().min(1), day: z.iso.date("a date YYYY-MM-DD") });

/** Rounds of the quick search that says what a day would bring. */
const QUICK_EFFORT = 80;

/** What planning anew with one crew-day more would bring, by a quick search. @throws AppError `not_found`, `wrong_use` */
export async function readAddedDay(
  actor: Actor,
  planId: string,
  name: z.infer<typeof AddedDayQuery>,
): Promise<AddedDayView> {
  authorise(actor, "plan.write");
  const { plan, held, routes } = await readTransaction(actor, (tx) => loadPlan(tx, planId));
  const wider = heldPlan(held.given, {
    ...held.holds,
    closed: held.holds.closed.filter((each) => crewDayKey(each) !== crewDayKey(name)),
    added: [...held.holds.added, name],
  });
  if (!wider.dayOf.has(crewDayKey(name)))
    throw new AppError("wrong_use", { message: `${name.crewId} cannot work on ${name.day} in this plan.` });
  const options = { rng: seededRng(String(plan.seed)), effort: QUICK_EFFORT, solver: null };
  const found = await planHeld(wider, null, { ...options, pricingRounds: 0, pricingNodes: 0, choiceNodes: 0 });
  const km = (of: typeof held, all: readonly (readonly number[])[]) =>
    all.reduce((sum, route, day) => sum + (route.length > 0 ? drivenDay(of, day, route).km : 0), 0);
  const stops = (all: readonly (readonly number[])[]) => all.reduce((sum, route) => sum + route.length, 0);
  return {
    visits: stops(found.routes) - stops(routes),
    value: found.objective - plan.objective,
    km: km(wider, found.routes) - km(held, routes),
  };
}
