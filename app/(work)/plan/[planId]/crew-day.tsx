"use client";

import { distanceText, money } from "@/app/_ui/format.ts";
import { useUnits } from "@/app/_ui/units.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { CREW_DAY } from "@/app/_words/plan.ts";
import type { BoardDay, PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import type { PlanEdit } from "@/lib/writes/change-plan.ts";
import { CrewStrip, StopButton, type StripActions } from "./crew-strip.tsx";

const WEEKDAYS = [CREW_DAY.sun, CREW_DAY.mon, CREW_DAY.tue, CREW_DAY.wed, CREW_DAY.thu, CREW_DAY.fri, CREW_DAY.sat];
export const dayName = (day: string) => `${WEEKDAYS[new Date(`${day}T00:00:00Z`).getUTCDay()]} ${day}`;

interface Props {
  day: BoardDay;
  plan: PlanBoardView;
  actions: StripActions;
  onEdit: (edit: PlanEdit) => void;
  busy: boolean;
}

/** One crew on one day: its strip, on a phone its list, and what can be done with the day. */
export function CrewDay({ day, plan, actions, onEdit, busy }: Props) {
  const units = useUnits();
  const name = { crewId: day.crewId, day: day.day };
  const facts = [
    CREW_DAY.shift(day.shift.says),
    ...(day.stops.length > 0
      ? [
          `${day.stops.length} ${day.stops.length === 1 ? "stop" : "stops"}`,
          CREW_DAY.awayTo(day.leave, day.return),
          distanceText(day.km, units),
          money(day.value, plan.currency),
        ]
      : [CREW_DAY.noStop]),
    ...(day.lockedBy ? [CREW_DAY.lockedBy(day.lockedBy)] : []),
    ...(day.addedBy ? [CREW_DAY.addedBy(day.addedBy)] : []),
    ...(day.closedBy ? [`off, ${day.closedBy}`] : []),
    ...(day.forecast ? [] : [CREW_DAY.noForecast]),
  ];
  const files = `/api/pages/plans/${encodeURIComponent(plan.planId)}`;
  return (
    <section className="crew-day" aria-label={`${day.crewName} on ${dayName(day.day)}`}>
      <header>
        <h3>{day.crewName}</h3>
        <span className="soft">{facts.join(" · ")}</span>
        <span className="buttons no-print">
          {plan.state === "draft" && day.closedBy === null ? (
            <>
              <button
                type="button"
                className="quiet"
                disabled={busy}
                onClick={() => onEdit({ kind: day.lockedBy ? "unlock" : "lock", ...name })}
              >
                {day.lockedBy ? CREW_DAY.unlock : CREW_DAY.lock}{" "}
                <span className="visually-hidden">
                  {day.crewName}, {day.day}
                </span>
              </button>
              {day.stops.length === 0 ? (
                <button
                  type="button"
                  className="quiet"
                  disabled={busy}
                  onClick={() => onEdit({ kind: "drop_day", ...name })}
                >
                  {CREW_DAY.doesNotWork}{" "}
                  <span className="visually-hidden">
                    {day.crewName}, {day.day}
                  </span>
                </button>
              ) : null}
            </>
          ) : null}
          {day.stops.length > 0 ? (
            <a className="quiet" href={`${files}/day-sheet?crew=${encodeURIComponent(day.crewId)}&day=${day.day}`}>
              {CREW_DAY.daySheet} <span className="visually-hidden">{CREW_DAY.of(day.crewName, day.day)}</span>
            </a>
          ) : null}
        </span>
      </header>
      <CrewStrip day={day} actions={actions} />
      <ol className="stop-list">
        {day.stops.map((stop) => (
          <li key={stop.visitId}>
            <Urgency value={stop.urgency} />
            <StopButton stop={stop} actions={actions} className="in-list" />
          </li>
        ))}
      </ol>
    </section>
  );
}
