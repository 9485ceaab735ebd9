"use client";

import { words } from "@/app/_ui/format.ts";
import { DEFAULT_STAY_HOURS, peopleOnSite } from "@/lib/visit/check-out.ts";
import { WHOLE_VISIT } from "@/lib/visit/signature.ts";
import { nextVisitStates, stateLacks, VISIT_STATES, type VisitState } from "@/lib/visit/visit-state.ts";
import { Choice } from "./choice.tsx";
import { Note } from "./note.tsx";
import { fieldOf, type VisitLog } from "./use-visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

const STATE_WORDS: Record<VisitState, string> = {
  planned: "Planned",
  arrived: "Arrived",
  go: "Go: weather and access are right",
  no_go: "No-go: weather or access",
  working: "Start work",
  stop_work: "Stop work",
  left_site: "Work is over: the state is written below",
  checked_out: "Check out",
};
const RIGHT = [
  ["", "not said"],
  ["right", "right"],
  ["wrong", "not right"],
];
const STEP_MINUTES = 30;

interface Props {
  log: VisitLog;
  worker: Worker;
  stopStands: boolean;
  hoursOnSite: number;
}

/** Where one is in the visit: arrival, go or no-go, work, stop, leaving, check-out. */
export function OnSite({ log, worker, stopStands, hoursOnSite }: Props) {
  const said = (field: string) => fieldOf(log.edits, WHOLE_VISIT, field, worker.name).own;
  const write = (field: string, value: string) => log.write(WHOLE_VISIT, field, value, worker.name);
  const state = VISIT_STATES.find((one) => one === said("state")) ?? "planned";
  const next = nextVisitStates(state, stopStands);
  const all = {
    ...{ weather: said("weather"), access: said("access") },
    ...{ stopReason: said("stop_reason"), left: said("left") },
  };
  const take = async (to: VisitState) => {
    await write("state", to);
    if (to === "arrived") await write("leave_by", String(Date.now() + (hoursOnSite || DEFAULT_STAY_HOURS) * 3_600_000));
    // What was right before work stopped is said anew before it goes on.
    if (to === "no_go" || to === "stop_work") {
      await write("weather", "");
      await write("access", "");
    }
  };
  const judges = next.includes("go") || next.includes("no_go");
  const lacks = [...new Set(next.map((to) => stateLacks(to, all)).filter((why) => why !== null))];
  return (
    <section aria-label="Visit">
      <h2>Now: {words(state)}</h2>
      {judges && !stopStands ? (
        <>
          <p>Wind, lightning, rain, frost, a wet roof; ladder, gate, fall protection, people kept off, two people.</p>
          <Choice label="Weather for this work" value={all.weather} onPick={(value) => write("weather", value)}>
            {RIGHT}
          </Choice>
          <Choice label="Access" value={all.access} onPick={(value) => write("access", value)}>
            {RIGHT}
          </Choice>
        </>
      ) : null}
      {next.includes("stop_work") ? (
        <Note itemId={WHOLE_VISIT} field="stop_reason" label="Why work stops, when it does" log={log} worker={worker} />
      ) : null}
      <div className="big-buttons">
        {next.map((to) => (
          <button key={to} type="button" disabled={stateLacks(to, all) !== null} onClick={() => take(to)}>
            {STATE_WORDS[to]}
          </button>
        ))}
      </div>
      {lacks.map((why) => (
        <p key={why}>{why}</p>
      ))}
      <LeaveBy log={log} worker={worker} hoursOnSite={hoursOnSite} write={write} />
    </section>
  );
}

const clock = (at: number) =>
  new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });

function LeaveBy({
  log,
  worker,
  hoursOnSite,
  write,
}: Omit<Props, "stopStands"> & { write: (field: string, value: string) => Promise<void> }) {
  const people = peopleOnSite(log.edits, hoursOnSite || null).filter(
    ({ state }) => state !== "planned" && state !== "checked_out",
  );
  const own = people.find((person) => person.by === worker.name.trim());
  const later = (minutes: number) =>
    own?.leaveBy ? write("leave_by", String(own.leaveBy + minutes * 60_000)) : undefined;
  return (
    <>
      {people.map((person) => (
        <p key={person.by}>
          {person.by}: {words(person.state)}
          {person.leaveBy ? `, to leave by ${clock(person.leaveBy)} by this phone’s clock` : ""}. Without a check-out by
          then the dispatcher is alerted.
        </p>
      ))}
      {own ? (
        <div className="big-buttons">
          <button type="button" onClick={() => later(STEP_MINUTES)}>
            {STEP_MINUTES} min later
          </button>
          <button type="button" onClick={() => later(-STEP_MINUTES)}>
            {STEP_MINUTES} min earlier
          </button>
        </div>
      ) : null}
    </>
  );
}
