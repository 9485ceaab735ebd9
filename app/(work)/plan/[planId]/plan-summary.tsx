import Link from "next/link";
import { money } from "@/app/_ui/format.ts";
import { Note } from "@/app/_ui/said.tsx";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { Sentence } from "@/app/_ui/units.tsx";
import { PLAN_SUMMARY } from "@/app/_words/plan.ts";
import type { PlanBoardView } from "@/lib/reads/plan-board-view.ts";

/** What a plan is, what it brings, and what stands against it. */
export function PlanSummary({ plan, stops }: { plan: PlanBoardView; stops: number }) {
  const gap = plan.gap === null ? PLAN_SUMMARY.howFarABetter : PLAN_SUMMARY.noPlanWithThe((100 * plan.gap).toFixed(2));
  const state = {
    draft: PLAN_SUMMARY.aDraftNothingWas,
    confirmed: PLAN_SUMMARY.confirmedBy(plan.confirmedBy, plan.confirmedAt ? `, ${MOMENT}` : ""),
    superseded: PLAN_SUMMARY.replacedByALater,
  }[plan.state];
  return (
    <>
      <p>
        <strong>
          {plan.confirmedAt && plan.state === "confirmed" ? <Timed says={state} at={plan.confirmedAt} /> : state}
        </strong>{" "}
        {PLAN_SUMMARY.visitsAvoid(
          stops,
          plan.objective < 0
            ? PLAN_SUMMARY.aYearLessThan(money(-plan.objective, plan.currency))
            : PLAN_SUMMARY.aYearMoreThan(money(plan.objective, plan.currency)),
          gap,
        )}
        {plan.basedOn ? (
          <>
            {" "}
            {PLAN_SUMMARY.theRestOfThe}{" "}
            <Link href={`/plan/${encodeURIComponent(plan.basedOn)}`}>{PLAN_SUMMARY.anEarlierPlan}</Link>.
          </>
        ) : null}
      </p>
      {plan.broken.length > 0 ? (
        <div className="note danger" role="status">
          {PLAN_SUMMARY.byWhatIsRecorded}
          <ul>
            {plan.broken.map((rule) => (
              <li key={rule}>{rule}</li>
            ))}
          </ul>
        </div>
      ) : null}
      {plan.withoutForecast > 0 ? <Note>{PLAN_SUMMARY.noForecastCoversThese(plan.withoutForecast)}</Note> : null}
      {plan.notes.map((note) => (
        <p className="note" key={note}>
          <Sentence says={note} />
        </p>
      ))}
    </>
  );
}
