"use client";

import Link from "next/link";
import { useState } from "react";
import { money, utcTime } from "@/app/_ui/format.ts";
import type { MoveOptionView, PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import type { PlanEdit } from "@/lib/writes/change-plan.ts";
import { AddedDays } from "./added-days.tsx";
import { CrewDay, dayName } from "./crew-day.tsx";
import type { StripActions } from "./crew-strip.tsx";
import { MovePanel } from "./move-panel.tsx";
import { PlanMap } from "./plan-map.tsx";
import { RestOfDay } from "./rest-of-day.tsx";
import { Unserved } from "./unserved.tsx";
import { useMoves, usePlan } from "./use-plan.ts";
import "../plan.css";

/** A plan: a strip for each crew and day, the map, who is left out and why, and everything that can be done with it. */
export function PlanBoard({ initial }: { initial: PlanBoardView }) {
  const { plan, change, anew, confirm } = usePlan(initial);
  const [selected, setSelected] = useState<string | null>(null);
  const [dragged, setDragged] = useState<string | null>(null);
  const [chosen, setChosen] = useState<MoveOptionView | null>(null);
  const moves = useMoves(plan.planId, plan.revision, dragged ?? selected);
  const busy = change.isPending || anew.isPending || confirm.isPending;
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
      <h1>
        Plan {plan.from}, {plan.days} {plan.days === 1 ? "day" : "days"}
      </h1>
      <Summary plan={plan} stops={stops.length} />
      <p className="buttons no-print">
        {plan.state === "draft" ? (
          <>
            <button
              type="button"
              className="button main"
              disabled={busy || plan.broken.length > 0}
              onClick={() => confirm.mutate()}
            >
              {confirm.isPending ? "Confirming …" : "Confirm and send out"}
            </button>
            <button type="button" className="button" disabled={busy} onClick={() => anew.mutate()}>
              {anew.isPending ? "Planning …" : "Plan anew around pins and locks"}
            </button>
          </>
        ) : null}
        <a className="button" href={`/api/pages/plans/${encodeURIComponent(plan.planId)}/csv`}>
          CSV
        </a>
      </p>
      {[change.error, anew.error, confirm.error].map((error) =>
        error ? (
          <p key={error.message} className="note danger" role="alert">
            {error.message}
          </p>
        ) : null,
      )}
      <RestOfDay plan={plan} />
      <div className="plan-columns">
        <div>
          <p className="legend">
            <span>
              <i className="key-light" /> daylight
            </span>
            <span>
              <i className="key-band" /> keeps people off a roof, by forecast
            </span>
            <span>
              <i className="key-road" /> driving
            </span>
            <span>Frame: the shift. Hours on the crew’s clock.</span>
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
          {days.length === 0 ? <p className="empty">No crew works on these days.</p> : null}
          <AddedDays plan={plan} onEdit={edit} busy={busy} />
        </div>
        <aside>
          {open && selected ? (
            <MovePanel
              visitId={selected}
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
            <p className="soft no-print">
              Open a stop to see where it could go and what that changes; arrow keys go from stop to stop. With a mouse,
              drag it: each strip says what dropping it there would change.
            </p>
          )}
          <MapByDay plan={plan} days={days} selected={selected} />
        </aside>
      </div>
      <Unserved plan={plan} onSelect={select} onDrag={setDragged} />
      <Changes plan={plan} />
    </>
  );
}

function Summary({ plan, stops }: { plan: PlanBoardView; stops: number }) {
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
        <strong>{state}</strong> {stops} visits avoid {money(plan.objective, plan.currency)} a year more than their
        driving and work cost. {gap}
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
        <p className="note">
          No forecast covers these days at {plan.withoutForecast} sites with roof work. Look at the sky before anyone
          climbs: no roof work in rain, wind, lightning or frost, or on a wet roof.
        </p>
      ) : null}
      {plan.notes.map((note) => (
        <p className="note" key={note}>
          {note}
        </p>
      ))}
    </>
  );
}

function MapByDay({ plan, days, selected }: { plan: PlanBoardView; days: string[]; selected: string | null }) {
  const [day, setDay] = useState("");
  return (
    <>
      <label className="field">
        Routes of
        <select value={day} onChange={(event) => setDay(event.target.value)}>
          <option value="">all days</option>
          {days.map((each) => (
            <option key={each} value={each}>
              {dayName(each)}
            </option>
          ))}
        </select>
      </label>
      <PlanMap map={plan.map} day={day === "" ? null : day} selected={selected} />
    </>
  );
}

function Changes({ plan }: { plan: PlanBoardView }) {
  return (
    <section>
      <h2>Who changed what</h2>
      <ul>
        {plan.changes.map((c) => (
          <li key={c.seq}>
            {utcTime(c.at)}, {c.person}: {c.says} {c.reason ? <em>“{c.reason}”</em> : null}
          </li>
        ))}
      </ul>
    </section>
  );
}
