"use client";

import Link from "next/link";
import { FIRST_STEPS } from "@/app/_words/begin.ts";
import type { FirstStep } from "@/lib/reads/first-run-view.ts";
import { useFirstRun } from "./use-first-run.ts";

const STEPS: Record<FirstStep["key"], { title: string; what: string; action: string; href: string }> = {
  sites: {
    title: FIRST_STEPS.sitesAndTheirInverters,
    what: FIRST_STEPS.aListOfYour,
    action: FIRST_STEPS.importAListOf,
    href: "/imports",
  },
  weather: {
    title: FIRST_STEPS.weather,
    what: FIRST_STEPS.stationsWithTheirPlaces,
    action: FIRST_STEPS.importWeather,
    href: "/imports",
  },
  faults: {
    title: FIRST_STEPS.faultLogs,
    what: FIRST_STEPS.whenEachInverterReported,
    action: FIRST_STEPS.importAFaultLog,
    href: "/imports",
  },
  inspections: {
    title: FIRST_STEPS.inspections,
    what: FIRST_STEPS.whatWasMeasuredWhere,
    action: FIRST_STEPS.importInspections,
    href: "/imports",
  },
  ranking: {
    title: FIRST_STEPS.theFirstRanking,
    what: FIRST_STEPS.computedByItselfAfter,
    action: FIRST_STEPS.openTheRankedSites,
    href: "/sites",
  },
};

/** The way to a first ranking: what is done, what there is, what comes next. */
export function FirstSteps() {
  const { data, error } = useFirstRun();
  if (!data) return <p role="status">{error ? error.message : FIRST_STEPS.looking}</p>;
  return (
    <ol className="steps">
      {data.steps.map((step) => {
        const { title, what, action, href } = STEPS[step.key];
        const next = data.next === step.key;
        return (
          <li
            key={step.key}
            className={step.done ? "done" : next ? "next" : undefined}
            aria-current={next ? "step" : undefined}
          >
            <h2 className="first">
              <span aria-hidden="true">{step.done ? "● " : "○ "}</span>
              {title}{" "}
              <span className="soft">{step.done ? FIRST_STEPS.done : next ? FIRST_STEPS.next : FIRST_STEPS.later}</span>
            </h2>
            <p>{step.says}</p>
            {step.done ? null : <p className="soft">{what}</p>}
            <p>
              <Link className={`button${next ? " main" : ""}`} href={href}>
                {action}
              </Link>
            </p>
          </li>
        );
      })}
    </ol>
  );
}
