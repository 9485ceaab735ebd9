import type { Metadata } from "next";
import Link from "next/link";
import { money, utcTime } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import { currentActor } from "@/lib/reads/actor.ts";
import { readDraftRuns } from "@/lib/reads/draft-run.ts";
import { readPlans } from "@/lib/reads/plan-board.ts";
import type { PlanListItem } from "@/lib/reads/plan-board-view.ts";
import { readQueue } from "@/lib/reads/queue.ts";
import { PlanForm } from "./plan-form.tsx";

export const metadata: Metadata = { title: "Plan" };
export const dynamic = "force-dynamic";

/** The next day from now, UTC: a plan is made for days to come. */
const tomorrow = () => new Date(Date.now() + 86_400_000).toISOString().slice(0, 10);

// Rendered on the server; making a plan is a client component.
export default async function PlansPage() {
  const actor = await currentActor();
  const [plans, { currency }, open] = await Promise.all([
    readPlans(actor),
    readQueue(actor),
    readDraftRuns(actor, null),
  ]);
  return (
    <>
      <h1>Plan</h1>
      <p className="soft">
        Who drives where, on which day: make safe first whatever else it costs, then what was promised, then the loss
        avoided. A plan is a draft until you confirm it. <Link href="/plan/going-out">Who is told, calendars</Link>,{" "}
        <Link href="/plan/earned">did dispatch earn its keep</Link>
      </p>
      <PlanForm from={tomorrow()} open={open} />
      <h2>Plans</h2>
      {plans.length === 0 ? (
        <p className="empty">No plan was made yet.</p>
      ) : (
        <Plans plans={plans} currency={currency} />
      )}
    </>
  );
}

function Plans({ plans, currency }: { plans: PlanListItem[]; currency: string }) {
  return (
    <Wide label="Plans">
      <table>
        <thead>
          <tr>
            <th scope="col">Days</th>
            <th scope="col">State</th>
            <th scope="col" className="num">
              Avoids
            </th>
            <th scope="col">Made</th>
          </tr>
        </thead>
        <tbody>
          {plans.map((plan) => (
            <tr key={plan.planId}>
              <th scope="row">
                <Link href={`/plan/${encodeURIComponent(plan.planId)}`}>
                  {plan.from}, {plan.days} {plan.days === 1 ? "day" : "days"}
                </Link>
              </th>
              <td>{plan.state === "superseded" ? "replaced by a later one" : plan.state}</td>
              <td className="num">{money(plan.objective, currency)}</td>
              <td>
                {utcTime(plan.madeAt)} by {plan.madeBy}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
