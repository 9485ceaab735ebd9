"use client";

import { useQuery } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import type { PlanView } from "@/lib/reads/plan-view.ts";
import { PlanResult } from "./plan-result.tsx";

interface Asked {
  from: string;
  days: number;
}

async function fetchPlan({ from, days }: Asked, signal: AbortSignal): Promise<PlanView> {
  const reply = await fetch(`/api/pages/plan?from=${encodeURIComponent(from)}&days=${days}`, { signal });
  const said = (await reply.json().catch(() => null)) as (PlanView & { error?: { message?: string } }) | null;
  if (!reply.ok || !said) throw new Error(said?.error?.message ?? `The server answered ${reply.status}.`);
  return said;
}

/** Asks for the days to plan, and shows the plan. */
export function PlanForm({ from }: { from: string }) {
  const [asked, setAsked] = useState<Asked | null>(null);
  const { data, error, isFetching } = useQuery({
    queryKey: ["plan", asked],
    queryFn: ({ signal }) => fetchPlan(asked as Asked, signal),
    enabled: asked !== null,
    staleTime: Number.POSITIVE_INFINITY,
    retry: false,
  });
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    setAsked({ from: String(form.get("from")), days: Number(form.get("days")) });
  };
  return (
    <>
      <form className="filters" onSubmit={onSubmit}>
        <label>
          First day
          <input type="date" name="from" defaultValue={from} required />
        </label>
        <label>
          Days
          <input type="number" name="days" defaultValue={3} min={1} max={14} required />
        </label>
        <button type="submit" className="button main" disabled={isFetching}>
          {isFetching ? "Planning …" : "Make a plan"}
        </button>
      </form>
      {error ? (
        <p className="note danger" role="alert">
          {error.message}
        </p>
      ) : null}
      <div aria-live="polite">{data && !isFetching ? <PlanResult plan={data} /> : null}</div>
    </>
  );
}
