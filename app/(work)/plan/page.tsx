import type { Metadata } from "next";
import { authorise } from "@/lib/core/permissions.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { PlanForm } from "./plan-form.tsx";

export const metadata: Metadata = { title: "Plan" };
export const dynamic = "force-dynamic";

/** The next day from now, UTC: a plan is made for days to come. */
const tomorrow = () => new Date(Date.now() + 86_400_000).toISOString().slice(0, 10);

export default async function PlanPage() {
  authorise(await currentActor(), "plan.read");
  return (
    <>
      <h1>Plan</h1>
      <p className="soft">
        Who drives where, on which day: make safe first whatever else it costs, then what was promised, then the loss
        avoided. Nothing is sent to anybody from here.
      </p>
      <PlanForm from={tomorrow()} />
    </>
  );
}
