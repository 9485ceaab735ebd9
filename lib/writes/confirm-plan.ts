import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { DEFAULT_DISPATCH_PARAMETERS } from "../dispatch/dispatch-parameters.ts";
import { brokenPlanRules } from "../dispatch/plans/consequence.ts";
import { expectedFinds } from "../dispatch/plans/expected-finds.ts";
import { crewDayKey } from "../dispatch/plans/plan-holds.ts";
import type { StoredPlan } from "../dispatch/plans/stored-plan.ts";
import { wakeNotices, wakeScoring } from "../jobs/wake-worker.ts";
import { dayAfter, loadPlan, outAlready } from "../reads/load-plan.ts";
import { storedScores } from "../reads/score.ts";
import type { Actor } from "../store/actor.ts";
import { addPlanChange, lockPlans, markConfirmed, replacePlan } from "../store/plans.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { bookVisits } from "./book-visits.ts";
import { changedMeanwhile, requireOpen } from "./make-plan.ts";

export const ConfirmPlanBody = z.object({ revision: z.number().int() });

/**
 * Send a draft out: its visits get their crew and hours, and it holds for its days from now on.
 * @throws AppError `conflict` when it breaks a rule by what is recorded now, or was changed meanwhile
 */
export async function confirmPlan(
  actor: Actor,
  planId: string,
  { revision }: z.infer<typeof ConfirmPlanBody>,
): Promise<{ planId: string; moved: string[] }> {
  authorise(actor, "plan.write");
  const confirmed = await writeTransaction(actor, async (tx) => {
    await lockPlans(tx);
    const { plan, held, routes } = await loadPlan(tx, planId);
    requireOpen(plan, revision, ["draft"]);
    const broken = brokenPlanRules(held, routes);
    if (broken.length > 0)
      throw new AppError("conflict", {
        message: `By what is recorded now this plan breaks rules; plan it anew. ${broken.slice(0, 5).join(" ")}`,
      });
    const before = await outAlready(tx, plan);
    const expecting = await withExpected(tx, plan);
    if (!(await replacePlan(tx, expecting))) throw changedMeanwhile();
    await markConfirmed(tx, plan, dayAfter(plan.from, plan.days - 1), actor.person);
    await bookVisits(tx, plan, before);
    const moved = whatMoved(before, plan);
    const says = moved.length === 0 ? "Confirmed." : `Confirmed. ${moved.join(" ")}`;
    await addPlanChange(tx, planId, actor.person, { kind: "confirm", says, reason: null, detail: { moved } });
    const note = {
      action: "plan.confirm",
      subject: planId,
      detail: { from: plan.from, days: plan.days, moved: moved.length },
    };
    return { result: { planId, moved }, note };
  });
  // The worker's own rounds find both too; this only makes them sooner.
  await Promise.all([wakeScoring(actor.accountId), wakeNotices(actor.accountId)]).catch((error: Error) =>
    console.error(`raintrip wake: ${error.message}`),
  );
  return confirmed;
}

async function withExpected(tx: Sql, plan: StoredPlan): Promise<StoredPlan> {
  const scores = new Map((await storedScores(tx)).map((score) => [score.site_id, score]));
  const visits = plan.visits.map((visit) => {
    const score = scores.get(visit.siteId);
    if (!score || !visit.stop) return visit;
    const chances = { bonding: score.bonding_defect, causes: score.causes };
    const expected = expectedFinds(chances, DEFAULT_DISPATCH_PARAMETERS.findChance);
    return { ...visit, basis: { ...visit.basis, expected } };
  });
  return { ...plan, visits };
}

/** What of the stops that went out before is elsewhere, at another time or gone, in words. */
export function whatMoved(before: Pick<StoredPlan, "visits"> | null, now: Pick<StoredPlan, "visits">): string[] {
  const after = new Map(now.visits.map((visit) => [visit.visitId, visit.stop]));
  const frozen = new Set(now.visits.filter((visit) => visit.frozen).map((visit) => visit.visitId));
  return (before?.visits ?? []).flatMap(({ visitId, stop: old }) => {
    const stop = after.get(visitId) ?? null;
    if (!old || frozen.has(visitId)) return [];
    if (!stop) return [`${visitId} is no longer planned.`];
    if (crewDayKey(stop) !== crewDayKey(old))
      return [`${visitId} goes from ${old.crewId} on ${old.day} to ${stop.crewId} on ${stop.day}.`];
    const minutes = Math.round((stop.start - old.start) / 60_000);
    if (minutes === 0) return [];
    return [`${visitId} begins ${Math.abs(minutes)} min ${minutes > 0 ? "later" : "earlier"}.`];
  });
}
