"use client";

import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useRef } from "react";
import { postJson } from "@/app/_ui/post-json.ts";

/** Asks for the days to plan; the plan opens as a draft. */
export function PlanForm({ from }: { from: string }) {
  const router = useRouter();
  const stop = useRef<AbortController | null>(null);
  const make = useMutation({
    mutationFn: (asked: { from: string; days: number }) => {
      stop.current = new AbortController();
      return postJson<{ planId: string }>("/api/pages/plans", asked, stop.current.signal);
    },
    onSuccess: ({ planId }) => router.push(`/plan/${encodeURIComponent(planId)}`),
  });
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    make.mutate({ from: String(form.get("from")), days: Number(form.get("days")) });
  };
  const stopped = make.error?.name === "AbortError";
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
        <button type="submit" className="button main" disabled={make.isPending || make.isSuccess}>
          {make.isPending || make.isSuccess ? "Planning …" : "Make a plan"}
        </button>
        {make.isPending ? (
          <button type="button" className="button" onClick={() => stop.current?.abort()}>
            Stop
          </button>
        ) : null}
      </form>
      {make.error ? (
        <p className="note danger" role="alert">
          {stopped ? "Stopped. No plan was kept." : make.error.message}
        </p>
      ) : null}
    </>
  );
}
