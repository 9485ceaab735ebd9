"use client";

import { useState } from "react";
import { Field } from "@/app/_ui/field.tsx";
import { MAP_BY_DAY } from "@/app/_words/plan.ts";
import type { PlanBoardView } from "@/lib/reads/plan-board-view.ts";
import { dayName } from "./crew-day.tsx";
import { PlanMap } from "./plan-map.tsx";

/** The map with the routes of one day or of all. */
export function MapByDay({ plan, days, selected }: { plan: PlanBoardView; days: string[]; selected: string | null }) {
  const [day, setDay] = useState("");
  return (
    <>
      <div className="plan-map-of">
        <Field label={MAP_BY_DAY.routesOf}>
          <select value={day} onChange={(event) => setDay(event.target.value)}>
            <option value="">{MAP_BY_DAY.allDays}</option>
            {days.map((each) => (
              <option key={each} value={each}>
                {dayName(each)}
              </option>
            ))}
          </select>
        </Field>
      </div>
      <PlanMap map={plan.map} day={day === "" ? null : day} selected={selected} />
    </>
  );
}
