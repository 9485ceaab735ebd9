import Link from "next/link";
import { money, utcTime } from "@/app/_ui/format.ts";
import { Note } from "@/app/_ui/said.tsx";
import { Sentence } from "@/app/_ui/units.tsx";
import type { PlanBoardView } from "@/lib/reads/plan-board-view.ts";

/** What a plan is, what it brings, and what stands against it. */
export function PlanSummary({ plan, stops }: { plan: PlanBoardView; stops: number }) {
  const gap =
    plan.gap === null
      ? "How far a better plan could go is not proven."
      : `No plan with the same make-safe and promised visits, pins and locks avoids more than ${(100 * plan.gap).toFixed(2)} % above that.`;
  const state = {
    draft: "A draft: nothing was sent to anybody.",
    confirmed: `Confirmed by ${plan.confirmedBy}${plan.confirmedAt ? `, ${utcTime(plan.confirmedAt)}` : ""}.`,
    superseded: "Replaced by a later plan.",
  }[plan.state];
  return (
    <>
      <p>
        <strong>{state}</strong> {stops} visits avoid{" "}
        {plan.objective < 0
          ? `${money(-plan.objective, plan.currency)} a year less than their driving and work cost: people come first.`
          : `${money(plan.objective, plan.currency)} a year more than their driving and work cost.`}{" "}
        {gap}
        {plan.basedOn ? (
          <>
            {" "}
            The rest of the day of <Link href={`/plan/${encodeURIComponent(plan.basedOn)}`}>an earlier plan</Link>.
          </>
        ) : null}
      </p>
      {plan.broken.length > 0 ? (
        <div className="note danger" role="status">
          By what is recorded now this plan breaks rules; plan it anew before it goes out.
          <ul>
            {plan.broken.map((rule) => (
              <li key={rule}>{rule}</li>
            ))}
          </ul>
        </div>
      ) : null}
      {plan.withoutForecast > 0 ? (
        <Note>
          No forecast covers these days at {plan.withoutForecast} sites with roof work. Look at the sky before anyone
          climbs: no roof work in rain, wind, lightning or frost, or on a wet roof.
        </Note>
      ) : null}
      {plan.notes.map((note) => (
        <p className="note" key={note}>
          <Sentence says={note} />
        </p>
      ))}
    </>
  );
}
