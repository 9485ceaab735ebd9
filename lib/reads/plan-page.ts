import "server-only";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { crews } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import { type PlanQuery, readPlan } from "./plan.ts";
import type { PlanView } from "./plan-view.ts";
import { queueDocument } from "./queue.ts";

/** A plan of the queue as it stands, with names. */
export async function readPlanPage(actor: Actor, query: PlanQuery): Promise<PlanView> {
  authorise(actor, "plan.read");
  let withoutForecast: string[] = [];
  const plan = await readPlan(actor, query, (siteIds) => {
    withoutForecast = siteIds;
  });
  return readTransaction(actor, async (tx) => {
    const queue = await queueDocument(tx);
    const names = await tx<{ site_id: string; name: string }[]>`
      SELECT site_id, name FROM site WHERE account_id = current_account() AND site_id = ANY(${queue.visits.map((v) => v.site_id)})`;
    return {
      ...plan,
      siteNames: Object.fromEntries(names.map((row) => [row.site_id, row.name])),
      crewNames: Object.fromEntries((await crews(tx)).map((crew) => [crew.crewId, crew.name])),
      currency: queue.currency,
      withoutForecast,
      urgency: Object.fromEntries(queue.visits.map((v) => [v.visit_id, v.urgency])),
    };
  });
}
