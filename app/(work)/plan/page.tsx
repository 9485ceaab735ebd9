import type { Metadata } from "next";
import Link from "next/link";
import { money } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { PLAN_PAGE } from "@/app/_words/plan.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readDraftRuns } from "@/lib/reads/draft-run.ts";
import { readPlans } from "@/lib/reads/plan-board.ts";
import type { PlanListItem } from "@/lib/reads/plan-board-view.ts";
import { readCurrency } from "@/lib/reads/queue.ts";
import { PlanForm } from "./plan-form.tsx";

export const metadata: Metadata = { title: PLAN_PAGE.plan };
export const dynamic = "force-dynamic";

/** The next day from now, UTC: a plan is made for days to come. */
const tomorrow = () => new Date(Date.now() + 86_400_000).toISOString().slice(0, 10);

// Rendered on the server; making a plan is a client component.
export default async function PlansPage() {
  const actor = await currentActor();
  const [plans, currency, open] = await Promise.all([
    readPlans(actor),
    readCurrency(actor),
    readDraftRuns(actor, null),
  ]);
  return (
    <>
      <h1>{PLAN_PAGE.plan}</h1>
      <p className="soft">
        {PLAN_PAGE.whoDrivesWhereOn} <Link href="/plan/going-out">{PLAN_PAGE.whoIsToldCalendars}</Link>,{" "}
        <Link href="/plan/travel-times">{PLAN_PAGE.drivingTimes}</Link>,{" "}
        <Link href="/plan/earned">{PLAN_PAGE.didDispatchEarnIts}</Link>
      </p>
      <PlanForm from={tomorrow()} open={open} />
      <h2>{PLAN_PAGE.plans}</h2>
      {plans.length === 0 ? <Empty>{PLAN_PAGE.noPlanWasMade}</Empty> : <Plans plans={plans} currency={currency} />}
    </>
  );
}

function Plans({ plans, currency }: { plans: PlanListItem[]; currency: string }) {
  return (
    <Table
      label={PLAN_PAGE.plans}
      columns={[
        {
          name: PLAN_PAGE.days,
          head: true,
          cell: (plan) => (
            <Link href={`/plan/${encodeURIComponent(plan.planId)}`}>
              {plan.from}, {plan.days} {plan.days === 1 ? PLAN_PAGE.day : PLAN_PAGE.days2}
            </Link>
          ),
        },
        {
          name: PLAN_PAGE.state,
          cell: (plan) => (plan.state === "superseded" ? PLAN_PAGE.replacedByALater : plan.state),
        },
        { name: PLAN_PAGE.avoids, num: true, cell: (plan) => money(plan.objective, currency) },
        {
          name: PLAN_PAGE.made,
          cell: (plan) => (
            <>
              <When at={plan.madeAt} /> {PLAN_PAGE.by(plan.madeBy)}
            </>
          ),
        },
      ]}
      rows={plans}
      keyOf={(plan) => plan.planId}
    />
  );
}
