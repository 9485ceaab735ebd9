"use client";

import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { PLAN_FORM } from "@/app/_words/plan.ts";
import type { DraftRunView } from "@/lib/reads/draft-run-view.ts";
import { PlanRun } from "./plan-run.tsx";
import "./plan.css";

/** Asks for the days to plan, and shows the plans that are being made; one that was asked for here opens as a draft. */
export function PlanForm({ from, open }: { from: string; open: DraftRunView[] }) {
  const router = useRouter();
  const [asked, setAsked] = useState<string[]>([]);
  const make = useMutation({
    mutationFn: (body: { from: string; days: number }) => postJson<{ runId: string }>("/api/pages/plans", body),
    onSuccess: ({ runId }) => setAsked((before) => [...before, runId]),
  });
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    make.mutate({ from: String(form.get("from")), days: Number(form.get("days")) });
  };
  const onPlan = (planId: string, run: DraftRunView) => {
    if (run.mine) router.push(`/plan/${encodeURIComponent(planId)}`);
    else router.refresh();
  };
  const runs = [...new Set([...open.map((run) => run.runId), ...asked])];
  return (
    <>
      <form className="filters" onSubmit={onSubmit}>
        <label>
          {PLAN_FORM.firstDay}
          <input type="date" name="from" defaultValue={from} required />
        </label>
        <label>
          {PLAN_FORM.days}
          <input type="number" name="days" defaultValue={3} min={1} max={14} required />
        </label>
        <button type="submit" className="button main" disabled={make.isPending}>
          {make.isPending ? PLAN_FORM.asking : PLAN_FORM.makeAPlan}
        </button>
      </form>
      <Trouble says={make.error?.message} />
      {runs.map((runId) => (
        <PlanRun key={runId} runId={runId} first={open.find((run) => run.runId === runId)} onPlan={onPlan} />
      ))}
    </>
  );
}
