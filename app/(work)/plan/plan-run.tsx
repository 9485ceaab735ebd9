"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { useEffect, useRef } from "react";
import { money, utcTime } from "@/app/_ui/format.ts";
import { getJson } from "@/app/_ui/get-json.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Distance } from "@/app/_ui/units.tsx";
import type { DraftRunView } from "@/lib/reads/draft-run-view.ts";

const ASK_MS = 500;
const isOpen = (run: DraftRunView | undefined) => !run || run.status === "waiting" || run.status === "running";

interface Props {
  runId: string;
  /** As the server knew it; absent of one that was only just asked for. */
  first?: DraftRunView | undefined;
  /** It became this draft. */
  onPlan: (planId: string, run: DraftRunView) => void;
}

/** A plan while the worker makes it: the best so far, how far the search is, and a way to end it. */
export function PlanRun({ runId, first, onPlan }: Props) {
  const client = useQueryClient();
  const url = `/api/pages/plan-runs/${encodeURIComponent(runId)}`;
  const { data: run, error } = useQuery({
    queryKey: ["plan-run", runId],
    queryFn: ({ signal }) => getJson<DraftRunView>(url, signal),
    ...(first ? { initialData: first } : {}),
    refetchInterval: (query) => (isOpen(query.state.data) ? ASK_MS : false),
    refetchIntervalInBackground: true,
  });
  const stop = useMutation({
    mutationFn: (giveUp: boolean) => postJson(`${url}/stop`, { giveUp }),
    onSettled: () => client.invalidateQueries({ queryKey: ["plan-run", runId] }),
  });
  const told = useRef(false);
  useEffect(() => {
    if (!run?.planId || told.current) return;
    told.current = true;
    onPlan(run.planId, run);
  }, [run, onPlan]);
  if (!run) return error ? <Trouble says={error.message} /> : <p className="note">Asking for a plan …</p>;
  const open = isOpen(run);
  return (
    <section className="panel plan-run no-print" aria-label={`Plan for ${run.from}`}>
      <p>
        <strong role="status">{headline(run)}</strong>{" "}
        <span className="soft">
          {run.from}, {run.days} {run.days === 1 ? "day" : "days"}, asked by {run.mine ? "you" : run.requestedBy},{" "}
          {utcTime(run.requestedAt)}
        </span>
      </p>
      {open && run.silent ? <NobodyThere run={run} /> : null}
      {open && !run.silent ? <Step run={run} /> : null}
      {open ? <BestSoFar run={run} /> : <p>{run.status === "done" ? null : run.says}</p>}
      {run.planId ? <Link href={`/plan/${encodeURIComponent(run.planId)}`}>Open the plan</Link> : null}
      {open ? (
        <p className="buttons">
          {run.status === "running" && !run.silent ? (
            <button
              type="button"
              className="button main"
              disabled={stop.isPending || run.stopAskedBy !== null}
              onClick={() => stop.mutate(false)}
            >
              {run.stopAskedBy === null ? "Stop and keep the best" : "Stopping …"}
            </button>
          ) : (
            <button type="button" className="button" disabled={stop.isPending} onClick={() => stop.mutate(true)}>
              Take it back
            </button>
          )}
        </p>
      ) : null}
      <Trouble says={stop.error?.message} />
      {error ? <Trouble says={`How far it is could not be read: ${error.message}`} /> : null}
    </section>
  );
}

function headline({ status, silent, working, ahead, best }: DraftRunView): string {
  switch (status) {
    case "done":
      return "The plan is made.";
    case "cancelled":
      return "Taken back.";
    case "failed":
      return "No plan was made.";
    default:
      if (silent) return "Nothing takes this work.";
      if (ahead > 0) return `Waits for ${ahead === 1 ? "another plan" : `${ahead} other plans`}.`;
      if (status === "waiting") return working ? "Waits for another plan." : "Waits for the worker.";
      if (!working) return "The worker that did this ended. Another begins it anew.";
      return best ? "Looking for a better plan …" : "Reading visits, crews and forecasts …";
  }
}

function NobodyThere({ run }: { run: DraftRunView }) {
  return (
    <p className="note danger" role="alert">
      {run.workerSeenAt
        ? `No worker has been heard of since ${utcTime(run.workerSeenAt)}.`
        : "No worker was ever heard of."}{" "}
      Start one: <code>npm run raintrip -- worker</code>. What you asked for waits here and is not lost.
    </p>
  );
}

const STAGE_SAYS = {
  first: "Places for make-safe visits first",
  search: "Searching",
  bound: "Showing how much better any plan could be",
  choice: "Choosing among all routes met",
} as const;

function Step({ run: { step } }: { run: DraftRunView }) {
  if (!step) return null;
  const { stage, done, of } = step;
  const rounds = of > 1 ? `, round ${done + 1} of ${stage === "bound" ? "up to " : ""}${of}` : "";
  return (
    <p>
      <progress value={of > 1 ? done : undefined} max={Math.max(1, of)} aria-label="Progress of the search" />{" "}
      {STAGE_SAYS[stage]}
      {rounds}
    </p>
  );
}

function BestSoFar({ run: { best, gap, currency } }: { run: DraftRunView }) {
  if (!best) return null;
  const hazards = best.makeSafe > 0 ? `, ${best.makeSafe} of them make safe,` : "";
  return (
    <p>
      Best so far: {best.visits} {best.visits === 1 ? "visit" : "visits"}
      {hazards} on {best.crewDays} {best.crewDays === 1 ? "crew-day" : "crew-days"}, <Distance km={best.km} />;{" "}
      {best.value < 0
        ? `driving and work cost ${money(-best.value, currency)} more than it avoids in a year, because people come first.`
        : `${money(best.value, currency)} a year avoided beyond what driving and work cost.`}{" "}
      {gap === null
        ? "How far a better plan could go is not shown yet."
        : `No plan with the same make-safe and promised visits avoids more than ${(100 * gap).toFixed(2)} % above that.`}
    </p>
  );
}
