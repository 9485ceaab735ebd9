"use client";

import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { getJson } from "@/app/_ui/get-json.ts";
import { useUnits } from "@/app/_ui/units.tsx";
import { ADDED_DAYS } from "@/app/_words/plan.ts";
import type { AddedDayView, PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import type { PlanEdit } from "@/lib/writes/change-plan.ts";
import { consequenceText } from "./consequence-line.tsx";
import { planUrl } from "./use-plan.ts";

/** Days that a crew does not work as recorded: what one more would bring, then adding it. */
export function AddedDays({
  plan,
  onEdit,
  busy,
}: {
  plan: PlanBoardView;
  onEdit: (edit: PlanEdit) => void;
  busy: boolean;
}) {
  const units = useUnits();
  const [asked, setAsked] = useState("");
  const chosen = plan.idle.find((each) => `${each.crewId} ${each.day}` === asked) ?? null;
  const { data, error, isFetching } = useQuery({
    queryKey: ["added-day", plan.planId, plan.revision, asked],
    queryFn: ({ signal }) => {
      const query = new URLSearchParams({ crewId: chosen?.crewId ?? "", day: chosen?.day ?? "" });
      return getJson<AddedDayView>(`${planUrl(plan.planId)}/added-day?${query}`, signal);
    },
    enabled: chosen !== null,
    retry: false,
  });
  if (plan.idle.length === 0 || plan.state !== "draft") return null;
  return (
    <section>
      <h2>{ADDED_DAYS.oneDayMore}</h2>
      <div className="filters">
        <label>
          {ADDED_DAYS.crewAndDay}
          <select value={asked} onChange={(event) => setAsked(event.target.value)}>
            <option value="">{ADDED_DAYS.chooseOne}</option>
            {plan.idle.map(({ crewId, crewName, day }) => (
              <option key={`${crewId} ${day}`} value={`${crewId} ${day}`}>
                {crewName}, {day}
              </option>
            ))}
          </select>
        </label>
        <button
          type="button"
          className="button"
          disabled={!chosen || busy}
          onClick={() => {
            if (chosen) onEdit({ kind: "add_day", crewId: chosen.crewId, day: chosen.day });
            setAsked("");
          }}
        >
          {ADDED_DAYS.addTheDay}
        </button>
      </div>
      <p className="soft" aria-live="polite">
        {error ? error.message : null}
        {chosen && isFetching ? ADDED_DAYS.workingOutWhatIt : null}
        {chosen && data && !isFetching
          ? ADDED_DAYS.plannedAnewWithIt(
              data.visits >= 0 ? "+" : "",
              data.visits,
              consequenceText({ ...data, lateMinutes: 0 }, plan.currency, units),
            )
          : null}
      </p>
    </section>
  );
}
