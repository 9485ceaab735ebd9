"use client";

import { useMutation } from "@tanstack/react-query";
import type { FormEvent } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
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
      <h2>The day does not go as planned</h2>
      <p className="soft">
        What is done or under way stays, promised visits move only where they must. You see what moves before anybody is
        told.
      </p>
      <form onSubmit={onSubmit}>
        {plan.goingOn.map(({ crewId, crewName }) => (
          <div className="filters" key={crewId}>
            <label>
              {crewName}: minutes until it can drive on
              <input type="number" name={`late ${crewId}`} min={0} max={900} placeholder="as planned" />
            </label>
            <label className="tick-line">
              <input type="checkbox" name={`off ${crewId}`} /> {crewName} is off for the rest of the day
            </label>
          </div>
        ))}
        <div className="filters">
          <label>
            What happened
            <input type="text" name="reason" required maxLength={1000} />
          </label>
          <button type="submit" className="button main" disabled={replan.isPending}>
            {replan.isPending ? "Asking …" : "Plan the rest of the day"}
          </button>
        </div>
      </form>
      <Trouble says={replan.error?.message} />
    </section>
  );
}
