import type { Metadata } from "next";
import Link from "next/link";
import { money } from "@/app/_ui/format.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { currentActor } from "@/lib/reads/actor.ts";
import { readDraftRuns } from "@/lib/reads/draft-run.ts";
import { readPlans } from "@/lib/reads/plan-board.ts";
import type { PlanListItem } from "@/lib/reads/plan-board-view.ts";
import { readCurrency } from "@/lib/reads/queue.ts";
import { PlanForm } from "./plan-form.tsx";

export const metadata: Metadata = { title: "Plan" };
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
      <h1>Plan</h1>
      <p className="soft">
        Who drives where, on which day: make safe first whatever else it costs, then what was promised, then the loss
        avoided. A plan is a draft until you confirm it. <Link href="/plan/going-out">Who is told, calendars</Link>,{" "}
        <Link href="/plan/travel-times">driving times</Link>,{" "}
        <Link href="/plan/earned">did dispatch earn its keep</Link>
      </p>
      <PlanForm from={tomorrow()} open={open} />
      <h2>Plans</h2>
      {plans.length === 0 ? <Empty>No plan was made yet.</Empty> : <Plans plans={plans} currency={currency} />}
    </>
  );
}

function Plans({ plans, currency }: { plans: PlanListItem[]; currency: string }) {
  return (
    <Table
      label="Plans"
      columns={[
        {
          name: "Days",
          head: true,
          cell: (plan) => (
            <Link href={`/plan/${encodeURIComponent(plan.planId)}`}>
              {plan.from}, {plan.days} {plan.days === 1 ? "day" : "days"}
            </Link>
          ),
        },
        { name: "State", cell: (plan) => (plan.state === "superseded" ? "replaced by a later one" : plan.state) },
        { name: "Avoids", num: true, cell: (plan) => money(plan.objective, currency) },
        {
          name: "Made",
          cell: (plan) => (
            <>
              <When at={plan.madeAt} /> by {plan.madeBy}
            </>
          ),
        },
      ]}
      rows={plans}
      keyOf={(plan) => plan.planId}
    />
  );
}
