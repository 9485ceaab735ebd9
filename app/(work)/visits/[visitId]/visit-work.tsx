"use client";

import { useEffect, useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { REPAIR_CAUSES, TESTED_AFTER } from "@/lib/core/records.ts";
import type { VisitView } from "@/lib/reads/visits-view.ts";
import { standingStops } from "@/lib/visit/stop-rule.ts";
import { voltReadings, WHOLE_VISIT } from "@/lib/visit/visit-records.ts";
import { nextVisitStates, VISIT_STATES, type VisitState } from "@/lib/visit/visit-state.ts";
import { keepOffline } from "./keep-offline.ts";
import { StopScreen } from "./stop-screen.tsx";
import { fieldOf, useVisitLog, type VisitLog } from "./use-visit-log.ts";
import { keepOwnSetting, ownSetting } from "./visit-log.ts";
import { Note, type Worker, WorkItem } from "./work-item.tsx";

/** The visit as it is worked on, with or without signal. */
export function VisitWork({ view }: { view: VisitView }) {
  const { visit, site } = view;
  const log = useVisitLog(visit.visit_id, site.siteId);
  const [worker, setWorker] = useWorker();
  const [offline, setOffline] = useState(false);
  const [read, setRead] = useState(0);
  useEffect(() => {
    keepOffline().then(setOffline, () => setOffline(false));
  }, []);
  const stops = standingStops(voltReadings(log.edits));
  const last = stops.at(-1);
  return (
    <div className="visit-work no-print" data-ready={log.ready} data-offline={offline} data-waiting={log.waiting}>
      {last && stops.length > read ? (
        <StopScreen stop={last} phone={site.emergencyPhone ?? site.contactPhone} onRead={() => setRead(stops.length)} />
      ) : null}
      <p className="sync-line" role="status">
        {waitingWords(log.waiting)}{" "}
        {offline ? "This page opens without signal." : "This page is not yet kept for use without signal."}
        {log.trouble ? ` ${log.trouble}` : ""}
      </p>
      {last ? (
        <p className="note danger">
          STOP stands: {Math.abs(last.volts)} V read by {last.inspector}. No work.
        </p>
      ) : null}
      <WorkerFields worker={worker} onChange={setWorker} />
      <State log={log} worker={worker} stopStands={stops.length > 0} />
      <h2>Checks, as you walk</h2>
      {visit.checklist.map((item, i) => (
        <WorkItem
          key={i}
          item={item}
          number={i + 1}
          log={log}
          worker={worker}
          place={{ visitId: visit.visit_id, siteId: site.siteId }}
        />
      ))}
      <Closing log={log} worker={worker} />
    </div>
  );
}

function waitingWords(waiting: number): string {
  if (waiting === 0) return "Everything written here is sent.";
  return waiting === 1 ? "1 edit waits to be sent." : `${waiting} edits wait to be sent.`;
}

/** Who works, remembered on this phone. */
function useWorker(): [Worker, (worker: Worker) => void] {
  const [worker, setWorker] = useState<Worker>({ name: "", licence: "", keepPlace: true });
  useEffect(() => {
    void Promise.all([ownSetting("name"), ownSetting("licence"), ownSetting("place")]).then(([name, licence, place]) =>
      setWorker({ name, licence, keepPlace: place !== "no" }),
    );
  }, []);
  const keep = (next: Worker) => {
    setWorker(next);
    void keepOwnSetting("name", next.name);
    void keepOwnSetting("licence", next.licence);
    void keepOwnSetting("place", next.keepPlace ? "yes" : "no");
  };
  return [worker, keep];
}

function WorkerFields({ worker, onChange }: { worker: Worker; onChange: (worker: Worker) => void }) {
  return (
    <section aria-label="Who works">
      <label>
        Your name
        <input value={worker.name} onChange={(event) => onChange({ ...worker, name: event.target.value })} />
      </label>
      <label>
        Your licence
        <input value={worker.licence} onChange={(event) => onChange({ ...worker, licence: event.target.value })} />
      </label>
      <label className="tick">
        <input
          type="checkbox"
          checked={worker.keepPlace}
          onChange={(event) => onChange({ ...worker, keepPlace: event.target.checked })}
        />
        Keep time and place of photos
      </label>
    </section>
  );
}

const STATE_WORDS: Record<VisitState, string> = {
  planned: "Planned",
  arrived: "Arrived",
  go: "Go: weather and access are right",
  no_go: "No-go: weather or access",
  working: "Start work",
  stop_work: "Stop work",
  left_site: "State the site is left in is written below",
  checked_out: "Check out",
};

function State({ log, worker, stopStands }: { log: VisitLog; worker: Worker; stopStands: boolean }) {
  const said = fieldOf(log.edits, WHOLE_VISIT, "state", worker.name).own;
  const state = VISIT_STATES.find((one) => one === said) ?? "planned";
  return (
    <section aria-label="Visit">
      <h2>Now: {words(state)}</h2>
      <div className="big-buttons">
        {nextVisitStates(state, stopStands).map((next) => (
          <button key={next} type="button" onClick={() => log.write(WHOLE_VISIT, "state", next, worker.name)}>
            {STATE_WORDS[next]}
          </button>
        ))}
      </div>
    </section>
  );
}

function Closing({ log, worker }: { log: VisitLog; worker: Worker }) {
  const field = (name: string) => fieldOf(log.edits, WHOLE_VISIT, name, worker.name).own;
  const pick = (name: string, label: string, values: readonly string[]) => (
    <label>
      {label}
      <select value={field(name)} onChange={(event) => log.write(WHOLE_VISIT, name, event.target.value, worker.name)}>
        <option value="">not said</option>
        {values.map((value) => (
          <option key={value} value={value}>
            {words(value)}
          </option>
        ))}
      </select>
    </label>
  );
  const signed = field("signed");
  const named = worker.name.trim() !== "" && worker.licence.trim() !== "";
  return (
    <section aria-label="Sign-off">
      <h2>Sign-off</h2>
      {pick("cause", "Cause found", REPAIR_CAUSES)}
      {pick("confirmed", "Found by measurement or sight", ["yes", "no"])}
      <Note itemId={WHOLE_VISIT} field="action" label="What was done" log={log} worker={worker} />
      {pick("tested_after", "Tested after", TESTED_AFTER)}
      <Note itemId={WHOLE_VISIT} field="left" label="State the site is left in" log={log} worker={worker} />
      <p>What was not checked is a gap, not a pass.</p>
      <button
        type="button"
        className="big"
        disabled={!named}
        onClick={() => log.write(WHOLE_VISIT, "signed", `${worker.name.trim()}, ${worker.licence.trim()}`, worker.name)}
      >
        Sign off
      </button>
      {named ? null : <p>Give your name and licence first.</p>}
      {signed ? <p>Signed by {signed}.</p> : null}
    </section>
  );
}
