"use client";

import Link from "next/link";
import type { FirstStep } from "@/lib/reads/first-run-view.ts";
import { useFirstRun } from "./use-first-run.ts";

const STEPS: Record<FirstStep["key"], { title: string; what: string; action: string; href: string }> = {
  sites: {
    title: "Sites and their inverters",
    what: "A list of your sites (name, place, time zone, size) and one of their inverters. Any table does: its columns are matched on the page.",
    action: "Import a list of sites",
    href: "/imports",
  },
  weather: {
    title: "Weather",
    what: "Stations with their places, and hourly precipitation: published files as they are, or your own table. A site takes the nearest station within 60 km.",
    action: "Import weather",
    href: "/imports",
  },
  faults: {
    title: "Fault logs",
    what: "When each inverter reported which fault. You are asked which of the codes mean a ground fault.",
    action: "Import a fault log",
    href: "/imports",
  },
  inspections: {
    title: "Inspections",
    what: "What was measured, where and when. Not needed for a first ranking, but nothing tells more about a bond than a measurement.",
    action: "Import inspections",
    href: "/imports",
  },
  ranking: {
    title: "The first ranking",
    what: "Computed by itself after each import: where a bonding or grounding defect is likely, and why.",
    action: "Open the ranked sites",
    href: "/sites",
  },
};

/** The way to a first ranking: what is done, what there is, what comes next. */
export function FirstSteps() {
  const { data, error } = useFirstRun();
  if (!data) return <p role="status">{error ? error.message : "Looking …"}</p>;
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
              {title} <span className="soft">{step.done ? "done" : next ? "next" : "later"}</span>
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
