"use client";

import { useMutation } from "@tanstack/react-query";
import type { FormEvent } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { REST_OF_DAY } from "@/app/_words/plan.ts";
import type { PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import { planUrl } from "./use-plan.ts";

/** Something happened: plan the rest of the day anew. What is done or under way stays. */
export function RestOfDay({ plan, onAsked }: { plan: PlanBoardView; onAsked: (runId: string) => void }) {
  const replan = useMutation({
    mutationFn: (body: unknown) => postJson<{ runId: string }>(`${planUrl(plan.planId)}/rest`, body),
    onSuccess: ({ runId }) => onAsked(runId),
  });
  if (plan.goingOn.length === 0) return null;
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    const now = new Date();
    const crews = plan.goingOn.map(({ crewId }) => {
      const late = Number(form.get(`late ${crewId}`) || 0);
      const freeAt = late > 0 ? new Date(now.getTime() + late * 60_000).toISOString() : null;
      return { crewId, off: form.get(`off ${crewId}`) === "on", freeAt };
    });
    replan.mutate({ reason: String(form.get("reason")), crews });
  };
  return (
    <section className="panel no-print">
      <h2>{REST_OF_DAY.theDayDoesNot}</h2>
      <p className="soft">{REST_OF_DAY.whatIsDoneOr}</p>
      <form onSubmit={onSubmit}>
        {plan.goingOn.map(({ crewId, crewName }) => (
          <div className="filters" key={crewId}>
            <label>
              {REST_OF_DAY.minutesUntilItCan(crewName)}
              <input type="number" name={`late ${crewId}`} min={0} max={900} placeholder={REST_OF_DAY.asPlanned} />
            </label>
            <label className="tick-line">
              <input type="checkbox" name={`off ${crewId}`} /> {REST_OF_DAY.isOffForThe(crewName)}
            </label>
          </div>
        ))}
        <div className="filters">
          <label>
            {REST_OF_DAY.whatHappened}
            <input type="text" name="reason" required maxLength={1000} />
          </label>
          <button type="submit" className="button main" disabled={replan.isPending}>
            {replan.isPending ? REST_OF_DAY.asking : REST_OF_DAY.planTheRestOf}
          </button>
        </div>
      </form>
      <Trouble says={replan.error?.message} />
    </section>
  );
}
