"use client";

import { utcTime, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { MakeSafeRun, SiteMakeSafe } from "@/lib/reads/make-safe-view.ts";
import { MAKE_SAFE_STEPS, STEP_WORDS } from "@/lib/visit/make-safe-state.ts";
import { FurtherRepair, MakeSafeStepForm, Release } from "./make-safe-step-form.tsx";

/** The emergency of a site: where it stands, what has to be done now, and what happened. */
export function MakeSafePanel({ siteId, view }: { siteId: string; view: SiteMakeSafe }) {
  const { open, past } = view;
  if (!open && past.length === 0) return null;
  return (
    <>
      {open ? <OpenRun key={open.makeSafeId} siteId={siteId} view={view} run={open} /> : null}
      {past.map((run) => (
        <details key={run.makeSafeId}>
          <summary>
            Made safe before: opened <When at={run.openedAt} />
            {run.closedAt ? (
              <>
                , ended <When at={run.closedAt} />
              </>
            ) : null}
          </summary>
          <section className="panel make-safe past" aria-label={`Make safe of ${utcTime(run.openedAt)}`}>
            <p>{run.reason}</p>
            <Log run={run} />
          </section>
        </details>
      ))}
    </>
  );
}

function OpenRun({ siteId, view, run }: { siteId: string; view: SiteMakeSafe; run: MakeSafeRun }) {
  const { contact } = view;
  const done = MAKE_SAFE_STEPS.indexOf(run.step);
  return (
    <section className="panel make-safe" aria-label="Make safe" data-make-safe={run.step}>
      <h2>
        <Urgency value="make_safe" /> {run.hasIt ? `${run.hasIt} has it` : "Nobody has it yet"}
      </h2>
      <Isolated since={run.isolatedSince} />
      <p>
        <strong>{run.reason}</strong>
      </p>
      <p>
        Keep people off and reset nothing, from afar or here. Isolation stops AC and inverter current only: metal on the
        module side stays live in light. A qualified person and the local authority decide.
      </p>
      <p>
        Owner: {contact.name ?? "name not recorded"}, {contact.phone ?? "number not recorded"}
        {contact.emergency ? `; emergency number ${contact.emergency}` : ""}
      </p>
      <ol>
        {MAKE_SAFE_STEPS.map((step, i) => {
          const state = i <= done ? "done" : step === run.next ? "next" : "later";
          return (
            <li key={step} data-step={state} aria-current={state === "next" ? "step" : undefined}>
              <strong>{STEP_WORDS[step]}</strong>
              <span className="visually-hidden">: {state}</span>{" "}
              <StepDone run={run} step={state === "done" ? step : null} />
              {state === "next" ? <MakeSafeStepForm key={step} siteId={siteId} view={view} run={run} /> : null}
            </li>
          );
        })}
      </ol>
      {run.next === "tested" || run.next === "authorised" ? (
        <FurtherRepair siteId={siteId} view={view} run={run} />
      ) : null}
      <details>
        <summary>All that happened ({run.events.length})</summary>
        <Log run={run} />
      </details>
      <Release siteId={siteId} view={view} run={run} />
    </section>
  );
}

function StepDone({ run, step }: { run: MakeSafeRun; step: string | null }) {
  const event = step === null ? undefined : run.events.findLast((one) => one.kind === step);
  if (!event) return null;
  return (
    <span className="soft">
      <When at={event.at} />
      {event.by ? `, ${event.by}` : ""}. {event.says}
    </span>
  );
}

function Log({ run }: { run: MakeSafeRun }) {
  return (
    <ul className="alerts">
      {run.events.map((event, i) => (
        <li key={i}>
          <When at={event.at} /> <strong>{words(event.kind)}</strong>
          {event.by ? `, ${event.by}` : ""}. {event.says}{" "}
          {event.photo ? <a href={`/api/visits/photos/${event.photo}`}>Photo of the lock</a> : null}
        </li>
      ))}
    </ul>
  );
}
