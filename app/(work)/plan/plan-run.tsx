"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import Link from "next/link";
import { useEffect, useRef } from "react";
import { money } from "@/app/_ui/format.ts";
import { getJson } from "@/app/_ui/get-json.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { Distance } from "@/app/_ui/units.tsx";
import { PLAN_RUN } from "@/app/_words/plan.ts";
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
  if (!run) return error ? <Trouble says={error.message} /> : <p className="note">{PLAN_RUN.askingForAPlan}</p>;
  const open = isOpen(run);
  return (
    <section className="panel plan-run no-print" aria-label={PLAN_RUN.planFor(run.from)}>
      <p>
        <strong role="status">{headline(run)}</strong>{" "}
        <span className="soft">
          <Timed
            says={PLAN_RUN.askedBy(
              run.from,
              run.days,
              run.days === 1 ? PLAN_RUN.day : PLAN_RUN.days,
              run.mine ? PLAN_RUN.you : run.requestedBy,
              MOMENT,
            )}
            at={run.requestedAt}
          />
        </span>
      </p>
      {open && run.silent ? <NobodyThere run={run} /> : null}
      {open && !run.silent ? <Step run={run} /> : null}
      {open ? <BestSoFar run={run} /> : <p>{run.status === "done" ? null : run.says}</p>}
      {run.planId ? <Link href={`/plan/${encodeURIComponent(run.planId)}`}>{PLAN_RUN.openThePlan}</Link> : null}
      {open ? (
        <p className="buttons">
          {run.status === "running" && !run.silent ? (
            <button
              type="button"
              className="button main"
              disabled={stop.isPending || run.stopAskedBy !== null}
              onClick={() => stop.mutate(false)}
            >
              {run.stopAskedBy === null ? PLAN_RUN.stopAndKeepThe : PLAN_RUN.stopping}
            </button>
          ) : (
            <button type="button" className="button" disabled={stop.isPending} onClick={() => stop.mutate(true)}>
              {PLAN_RUN.takeItBack}
            </button>
          )}
        </p>
      ) : null}
      <Trouble says={stop.error?.message} />
      {error ? <Trouble says={PLAN_RUN.howFarItIs(error.message)} /> : null}
    </section>
  );
}

function headline({ status, silent, working, ahead, best }: DraftRunView): string {
  switch (status) {
    case "done":
      return PLAN_RUN.thePlanIsMade;
    case "cancelled":
      return PLAN_RUN.takenBack;
    case "failed":
      return PLAN_RUN.noPlanWasMade;
    default:
      if (silent) return PLAN_RUN.nothingTakesThisWork;
      if (ahead > 0) return PLAN_RUN.waitsFor(ahead === 1 ? PLAN_RUN.anotherPlan : PLAN_RUN.otherPlans(ahead));
      if (status === "waiting") return working ? PLAN_RUN.waitsForAnotherPlan : PLAN_RUN.waitsForTheWorker;
      if (!working) return PLAN_RUN.theWorkerThatDid;
      return best ? PLAN_RUN.lookingForABetter : PLAN_RUN.readingVisitsCrewsAnd;
  }
}

function NobodyThere({ run }: { run: DraftRunView }) {
  return (
    <p className="note danger" role="alert">
      {run.workerSeenAt ? (
        <Timed says={PLAN_RUN.startOne(PLAN_RUN.noWorkerHasBeen(MOMENT))} at={run.workerSeenAt} />
      ) : (
        PLAN_RUN.startOne(PLAN_RUN.noWorkerWasEver)
      )}{" "}
      <code>{PLAN_RUN.npmRunRaintripWorker}</code>
      {PLAN_RUN.whatYouAskedFor}
    </p>
  );
}

const STAGE_SAYS = {
  first: PLAN_RUN.placesForMakeSafe,
  search: PLAN_RUN.searching,
  bound: PLAN_RUN.showingHowMuchBetter,
  choice: PLAN_RUN.choosingAmongAllRoutes,
} as const;

function Step({ run: { step } }: { run: DraftRunView }) {
  if (!step) return null;
  const { stage, done, of } = step;
  const rounds = of > 1 ? PLAN_RUN.roundOf(done + 1, stage === "bound" ? PLAN_RUN.upTo : "", of) : "";
  return (
    <p>
      <progress value={of > 1 ? done : undefined} max={Math.max(1, of)} aria-label={PLAN_RUN.progressOfTheSearch} />{" "}
      {STAGE_SAYS[stage]}
      {rounds}
    </p>
  );
}

function BestSoFar({ run: { best, gap, currency } }: { run: DraftRunView }) {
  if (!best) return null;
  const hazards = best.makeSafe > 0 ? PLAN_RUN.ofThemMakeSafe(best.makeSafe) : "";
  return (
    <p>
      {PLAN_RUN.bestSoFarOn(
        best.visits,
        best.visits === 1 ? PLAN_RUN.visit : PLAN_RUN.visits,
        hazards,
        best.crewDays,
        best.crewDays === 1 ? PLAN_RUN.crewDay : PLAN_RUN.crewDays,
      )}{" "}
      <Distance km={best.km} />;{" "}
      {best.value < 0
        ? PLAN_RUN.drivingAndWorkCost(money(-best.value, currency))
        : PLAN_RUN.aYearAvoidedBeyond(money(best.value, currency))}{" "}
      {gap === null ? PLAN_RUN.howFarABetter : PLAN_RUN.noPlanWithThe((100 * gap).toFixed(2))}
    </p>
  );
}
