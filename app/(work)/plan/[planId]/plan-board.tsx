"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { PLAN_BOARD } from "@/app/_words/plan.ts";
import type { DraftRunView } from "@/lib/reads/draft-run-view.ts";
import type { MoveOptionView, PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import type { PlanEdit } from "@/lib/writes/change-plan.ts";
import { PlanRun } from "../plan-run.tsx";
import { AddedDays } from "./added-days.tsx";
import { CrewDay, dayName } from "./crew-day.tsx";
import type { StripActions } from "./crew-strip.tsx";
import { MapByDay } from "./map-by-day.tsx";
import { MovePanel } from "./move-panel.tsx";
import { PlanChanges } from "./plan-changes.tsx";
import { PlanSummary } from "./plan-summary.tsx";
import { RestOfDay } from "./rest-of-day.tsx";
import { Unserved } from "./unserved.tsx";
import { useMoves, usePlan } from "./use-plan.ts";
import "../plan.css";
import { Empty, Trouble } from "@/app/_ui/said.tsx";

/** A plan: a strip for each crew and day, the map, who is left out and why, and everything that can be done with it. */
export function PlanBoard({ initial, runs }: { initial: PlanBoardView; runs: DraftRunView[] }) {
  const { plan, change, anew, confirm, again } = usePlan(initial);
  const router = useRouter();
  const [asked, setAsked] = useState<string[]>([]);
  const [over, setOver] = useState<string[]>([]);
  const ask = (runId: string) => setAsked((before) => [...before, runId]);
  const making = [...new Set([...runs.map((run) => run.runId), ...asked])].filter((runId) => !over.includes(runId));
  const onPlan = (planId: string, run: DraftRunView) => {
    setOver((before) => [...before, run.runId]);
    if (planId === plan.planId) again();
    else if (run.mine) router.push(`/plan/${encodeURIComponent(planId)}`);
  };
  const [selected, setSelected] = useState<string | null>(null);
  const [dragged, setDragged] = useState<string | null>(null);
  const [chosen, setChosen] = useState<MoveOptionView | null>(null);
  const moves = useMoves(plan.planId, plan.revision, dragged ?? selected);
  const busy = change.isPending || anew.isPending || confirm.isPending || making.length > 0;
  const days = [...new Set(plan.crewDays.map((d) => d.day))];
  const stops = plan.crewDays.flatMap((d) => d.stops);
  const stop = stops.find((each) => each.visitId === selected) ?? null;
  const left = plan.unserved.find((each) => each.visitId === selected) ?? null;
  const open = selected !== null && (stop !== null || left !== null);
  const select = (visitId: string) => {
    setSelected(visitId);
    setChosen(null);
  };
  const close = () => {
    const visitId = selected;
    setSelected(null);
    setChosen(null);
    const back = [...document.querySelectorAll<HTMLElement>("[data-stop]")].find(
      (each) => each.dataset.stop === visitId && each.offsetParent !== null,
    );
    back?.focus();
  };
  const edit = (asked: PlanEdit, reason = "") =>
    change.mutate({ edit: asked, reason }, { onSuccess: () => setChosen(null) });
  const drop = (visitId: string, option: MoveOptionView) => {
    setDragged(null);
    if (option.crewId === null || option.day === null) return;
    if (option.needsReason) {
      setSelected(visitId);
      setChosen(option);
      return;
    }
    edit({ kind: "move", visitId, crewId: option.crewId, day: option.day, position: option.position });
  };
  const actions: StripActions = {
    selected,
    dragged,
    options: moves.data?.options ?? [],
    currency: plan.currency,
    fixed: plan.state === "superseded",
    onSelect: select,
    onDrag: setDragged,
    onDrop: (option) => {
      if (dragged) drop(dragged, option);
    },
  };
  return (
    <>
      <h1>{PLAN_BOARD.plan(plan.from, plan.days, plan.days === 1 ? PLAN_BOARD.day : PLAN_BOARD.days)}</h1>
      <PlanSummary plan={plan} stops={stops.length} />
      <p className="buttons no-print">
        {plan.state === "draft" ? (
          <>
            <button
              type="button"
              className="button main"
              disabled={busy || plan.broken.length > 0}
              onClick={() => confirm.mutate()}
            >
              {confirm.isPending ? PLAN_BOARD.confirming : PLAN_BOARD.confirmAndSendOut}
            </button>
            <button
              type="button"
              className="button"
              disabled={busy}
              onClick={() => anew.mutate(undefined, { onSuccess: ({ runId }) => ask(runId) })}
            >
              {anew.isPending ? PLAN_BOARD.asking : PLAN_BOARD.planAnewAroundPins}
            </button>
          </>
        ) : null}
        <a className="button" href={`/api/pages/plans/${encodeURIComponent(plan.planId)}/csv`}>
          {PLAN_BOARD.csv}
        </a>
      </p>
      {[change.error, anew.error, confirm.error].map((error) =>
        error ? <Trouble key={error.message} says={error.message} /> : null,
      )}
      {making.map((runId) => (
        <PlanRun key={runId} runId={runId} first={runs.find((run) => run.runId === runId)} onPlan={onPlan} />
      ))}
      <RestOfDay plan={plan} onAsked={ask} />
      <div className="plan-columns">
        <div>
          <p className="legend">
            <span>
              <i className="key-light" /> {PLAN_BOARD.daylight}
            </span>
            <span>
              <i className="key-band" /> {PLAN_BOARD.keepsPeopleOffA}
            </span>
            <span>
              <i className="key-road" /> {PLAN_BOARD.driving}
            </span>
            <span>{PLAN_BOARD.frameTheShiftHours}</span>
          </p>
          {days.map((day) => (
            <section key={day} aria-label={dayName(day)}>
              <h2>{dayName(day)}</h2>
              {plan.crewDays
                .filter((d) => d.day === day)
                .map((d) => (
                  <CrewDay
                    key={`${d.crewId} ${d.day}`}
                    day={d}
                    plan={plan}
                    actions={actions}
                    onEdit={edit}
                    busy={busy}
                  />
                ))}
            </section>
          ))}
          {days.length === 0 ? <Empty>{PLAN_BOARD.noCrewWorksOn}</Empty> : null}
          <AddedDays plan={plan} onEdit={edit} busy={busy} />
        </div>
        <aside>
          {open && selected ? (
            <MovePanel
              visitId={selected}
              siteId={stop?.siteId ?? left?.siteId ?? ""}
              siteName={stop?.siteName ?? left?.siteName ?? selected}
              stop={stop}
              takenOut={left?.code === "taken_out"}
              state={plan.state}
              moves={moves.data?.visitId === selected ? moves.data : undefined}
              error={moves.error}
              chosen={chosen}
              onChoose={setChosen}
              onEdit={edit}
              onClose={close}
              busy={busy}
            />
          ) : (
            <p className="soft no-print">{PLAN_BOARD.openAStopTo}</p>
          )}
          <MapByDay plan={plan} days={days} selected={selected} />
        </aside>
      </div>
      <Unserved plan={plan} onSelect={select} onDrag={setDragged} />
      <PlanChanges plan={plan} />
    </>
  );
}
