import { When } from "@/app/_ui/when.tsx";
import { PLAN_CHANGES } from "@/app/_words/plan.ts";
import type { PlanBoardView } from "@/lib/reads/plan-board-view.ts";

/** Who changed what in a plan, and why, newest first. */
export function PlanChanges({ plan }: { plan: PlanBoardView }) {
  return (
    <section>
      <h2>{PLAN_CHANGES.whoChangedWhat}</h2>
      <ul>
        {plan.changes.map((c) => (
          <li key={c.seq}>
            <When at={c.at} />, {c.person}: {c.says} {c.reason ? <em>“{c.reason}”</em> : null}
          </li>
        ))}
      </ul>
    </section>
  );
}
