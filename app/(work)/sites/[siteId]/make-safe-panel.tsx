"use client";

import { utcTime, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { When } from "@/app/_ui/when.tsx";
import { MAKE_SAFE_PANEL } from "@/app/_words/site-make-safe.ts";
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
            {MAKE_SAFE_PANEL.madeSafeBeforeOpened} <When at={run.openedAt} />
            {run.closedAt ? (
              <>
                {MAKE_SAFE_PANEL.ended} <When at={run.closedAt} />
              </>
            ) : null}
          </summary>
          <section className="panel make-safe past" aria-label={MAKE_SAFE_PANEL.makeSafeOf(utcTime(run.openedAt))}>
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
    <section className="panel make-safe" aria-label={MAKE_SAFE_PANEL.makeSafe} data-make-safe={run.step}>
      <h2>
        <Urgency value="make_safe" /> {run.hasIt ? MAKE_SAFE_PANEL.hasIt(run.hasIt) : MAKE_SAFE_PANEL.nobodyHasItYet}
      </h2>
      <Isolated since={run.isolatedSince} />
      <p>
        <strong>{run.reason}</strong>
      </p>
      <p>{MAKE_SAFE_PANEL.keepPeopleOffAnd}</p>
      <p>
        {MAKE_SAFE_PANEL.owner(
          contact.name ?? MAKE_SAFE_PANEL.nameNotRecorded,
          contact.phone ?? MAKE_SAFE_PANEL.numberNotRecorded,
          contact.emergency ? MAKE_SAFE_PANEL.emergencyNumber(contact.emergency) : "",
        )}
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
        <summary>{MAKE_SAFE_PANEL.allThatHappened(run.events.length)}</summary>
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
          {event.photo ? <a href={`/api/visits/photos/${event.photo}`}>{MAKE_SAFE_PANEL.photoOfTheLock}</a> : null}
        </li>
      ))}
    </ul>
  );
}
